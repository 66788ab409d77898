use super::{inverse, quantile, times};

#[test]
fn an_inverse_undoes_its_matrix() {
    let square = [[4.0, 1.0, 0.5], [1.0, 3.0, -0.2], [0.5, -0.2, 2.0]];
    let column = [1.0, -2.0, 0.7];
    let back = times(
        &inverse(&square).expect("it is positive definite"),
        &times(&square, &column),
    );
    for (a, b) in back.iter().zip(column) {
        assert!((a - b).abs() < 1e-12);
    }
    assert_eq!(inverse(&[[1.0, 2.0], [2.0, 1.0]]), None);
    assert_eq!(inverse(&[[f64::NAN]]), None);
}

#[test]
fn quantiles_lie_between_values() {
    assert_eq!(quantile(&[3.0, 1.0, 2.0], 0.5), Some(2.0));
    assert_eq!(quantile(&[1.0, 2.0], 0.9), Some(1.9));
    assert_eq!(quantile(&[], 0.5), None);
}
