//! The cold of wind.

/// Wind chill, °C, by the formula of Environment Canada and the US National Weather Service
/// (2001), from air temperature and the wind at 10 m; `None` above 10 °C or below 4.8 km/h (3
/// mph), where the index is not defined.
///
/// It is for dry, exposed skin out of the sun. Wet clothes are colder, and a runner who stops
/// loses the heat of running.
///
/// ```
/// use sutler::conditions::wind_chill_c;
/// assert!(wind_chill_c(-10.0, 20.0).is_some_and(|c| (c + 17.86).abs() < 0.01));
/// assert_eq!(wind_chill_c(12.0, 40.0), None);
/// ```
#[must_use]
pub fn wind_chill_c(temp_c: f64, wind_kmh: f64) -> Option<f64> {
    if temp_c > 10.0 || wind_kmh < 4.8 {
        return None;
    }
    let v = wind_kmh.powf(0.16);
    Some(13.12 + 0.6215 * temp_c - 11.37 * v + 0.3965 * temp_c * v)
}
