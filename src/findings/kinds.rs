//! The kinds of findings and cautions, each with the word that programs match. Names in data stay as
//! they are: what matches them is not ours to break.

use crate::words::named;

named! {
    /// The kind of a finding.
    #[derive(PartialOrd, Ord)]
    pub enum FindingKind {
        /// Things are to be brought where the crew meets nobody.
        BringNowhere = "bring-nowhere",
        /// A drive between two meetings is not known.
        DriveUnknown = "drive-unknown",
        /// The driver of a road runs along meanwhile.
        DriverRuns = "driver-runs",
        /// The crew arrives after the runner may.
        CrewTooLate = "crew-too-late",
        /// The crew arrives with less than its buffer.
        CrewTight = "crew-tight",
        /// A pacer stops before joining.
        PacerBackwards = "pacer-backwards",
        /// A pacer joins where none may.
        PacerNotAllowed = "pacer-not-allowed",
        /// A pacer's station is not on the course.
        PacerStationUnknown = "pacer-station-unknown",
        /// A pacer cannot join, as the crew does not get there.
        PacerCannotJoin = "pacer-cannot-join",
        /// A pacer joins where the crew does not go.
        PacerWithoutLift = "pacer-without-lift",
        /// Two pacers run along at once.
        TwoPacers = "two-pacers",
        /// A cutoff that the organiser has and the station list does not say.
        CutoffUnread = "cutoff-unread",
        /// A cutoff is missed on plan.
        CutoffMissed = "cutoff-missed",
        /// A cutoff leaves little in hand.
        CutoffClose = "cutoff-close",
        /// A cutoff leaves so much in hand that it may be another day's.
        CutoffFar = "cutoff-far",
        /// Two nights are planned without a stop to sleep in.
        NoRest = "no-rest",
        /// The forecast makes the target cost more effort than on a cool day.
        HeatCost = "heat-cost",
        /// The target is faster than what it rests on supports.
        TargetFast = "target-fast",
        /// A cutoff is made in fewer than four races of five.
        CutoffDoubtful = "cutoff-doubtful",
        /// A cutoff is missed more often than made.
        CutoffUnlikely = "cutoff-unlikely",
        /// The runner goes out much faster than planned.
        TooEarly = "too-early",
        /// Drink is held at what is likely sweated.
        FluidLimited = "fluid-limited",
        /// Own sweat rates ask for more drink than anybody should have.
        FluidAlarm = "fluid-alarm",
        /// Drink is more per hour than a stomach empties.
        FluidRateHigh = "fluid-rate-high",
        /// The drink that the runner is used to, beside what is planned.
        FluidHabit = "fluid-habit",
        /// More is planned to be drunk than long runs have tried.
        FluidUnrehearsed = "fluid-unrehearsed",
        /// Sodium is held at what is likely lost.
        SodiumCapped = "sodium-capped",
        /// Carbohydrate is held at what is absorbed.
        CarbsLimited = "carbs-limited",
        /// Carbohydrate is held below what is spent.
        CarbsSpent = "carbs-above-spent",
        /// Carbohydrate is above what long runs have tried.
        CarbsUnrehearsed = "carbs-unrehearsed",
        /// Less energy is eaten than is usual.
        EnergyLow = "energy-low",
        /// Less energy is eaten than is spent.
        EnergyDeficit = "energy-deficit",
        /// Heat that slows.
        HeatYellow = "heat-yellow",
        /// Heat that endangers.
        HeatRed = "heat-red",
        /// Heat in which races are stopped.
        HeatBlack = "heat-black",
        /// More energy is eaten than is spent.
        EnergySurplus = "energy-surplus",
        /// Wind chill in which the body cools down or skin freezes.
        ColdHarm = "cold-harm",
        /// Wind chill at freezing or below.
        ColdWindChill = "cold-wind-chill",
        /// Rain in a cold wind.
        ColdWet = "cold-wet",
        /// A cold walk in the dark.
        ColdNight = "cold-night",
        /// Ground so high that it makes some people ill.
        HighGround = "high-ground",
        /// Air in which drink, gels and batteries freeze.
        FrozenDrink = "frozen-drink",
        /// High ground in the hours of thunder, where no storm is forecast.
        RidgeHours = "ridge-hours",
        /// Storms are forecast on the way.
        StormHours = "storm-hours",
        /// The sun does not set.
        LightThroughout = "light-throughout",
        /// The sun does not rise.
        DarkThroughout = "dark-throughout",
        /// Caffeine is asked for where a doctor has to agree first.
        CaffeineRefused = "caffeine-refused",
        /// Caffeine is held at the cap.
        CaffeineLimited = "caffeine-limited",
        /// The body mass to expect at the finish.
        MassWindow = "mass-window",
        /// More body mass is lost than is usual.
        MassLossHigh = "mass-loss-high",
        /// No foods are known.
        NoPantry = "no-pantry",
        /// No flasks are known.
        CapacityUnknown = "capacity-unknown",
        /// The flasks hold what is likely drunk, but not what the upper end may ask for.
        CarryTight = "carry-tight",
        /// A segment asks for more than can be carried.
        CarryShort = "carry-short",
        /// Nobody said what stations have to eat.
        OffersUnknown = "offers-unknown",
        /// Less carbohydrate is packed than is needed.
        CarbsShort = "carbs-short",
        /// The pockets hold less than is needed.
        PocketsShort = "pockets-short",
        /// Less sodium is packed than is needed.
        SodiumShort = "sodium-short",
        /// The sodium that is packed differs from what is needed.
        SodiumPacked = "sodium-packed",
        /// Less caffeine is packed than is asked for.
        CaffeineShort = "caffeine-short",
        /// Caffeine counted as taken, and the caffeine ahead.
        CaffeineAhead = "caffeine-ahead",
        /// A drink is stronger than a stomach takes.
        DrinkStrong = "drink-strong",
        /// A drink is hardly more than water.
        DrinkWeak = "drink-weak",
        /// A planned food was on no long run.
        UntestedFood = "untested-food",
        /// Darkness without a lamp.
        NoLamp = "no-lamp",
        /// More dark hours than the batteries last.
        LampHours = "lamp-hours",
        /// Gear that is usual on such a race, and not in the list.
        GearAsked = "gear-asked",
        /// Gear is asked for at the finish.
        GearAtFinish = "gear-at-finish",
        /// Gear is carried further than it is needed.
        GearCarried = "gear-carried",
        /// Gear that may or may not be needed.
        GearInDoubt = "gear-in-doubt",
        /// Gear that is never needed.
        GearNotNeeded = "gear-not-needed",
        /// A gear rule names no station of the course.
        GearStationUnknown = "gear-station-unknown",
        /// Gear that is needed lies ahead.
        GearAhead = "gear-ahead",
        /// Gear that is needed is not there.
        GearLost = "gear-lost",
        /// A stretch loses most of its food.
        FoodLost = "food-lost",
        /// The rest asks for more than the pockets hold.
        PocketsLack = "pockets-lack",
        /// A long run is longer than usual.
        SingleRun = "single-run",
        /// The long run grows faster than usual.
        Growth = "growth",
        /// The taper is shorter or longer than usual.
        Taper = "taper",
        /// Weeks without a long run.
        BlockedWeeks = "blocked-weeks",
        /// An ache on the way.
        Ache = "ache",
        /// Lost weeks take the plan back.
        SteppedBack = "stepped-back",
        /// Long runs are more of the week than usual.
        WeekShare = "week-share",
        /// A long run was longer than planned.
        MoreThanPlanned = "more-than-planned",
        /// A practice race is close to the race.
        PracticeLate = "practice-late",
        /// A practice race is long for its week.
        PracticeLong = "practice-long",
    }
}

named! {
    /// The kind of a caution.
    #[derive(PartialOrd, Ord)]
    pub enum CautionKind {
        /// The numbers are estimates.
        EstimatesOnly = "estimates-only",
        /// Drinking beyond thirst.
        OverDrinking = "over-drinking",
        /// Signs of low blood sodium.
        LowBloodSodium = "low-blood-sodium",
        /// Meanings of a loss of body mass.
        MassLoss = "mass-loss",
        /// Painkillers and kidneys.
        Painkillers = "painkillers",
        /// Dark urine and swollen muscles.
        MuscleBreakdown = "muscle-breakdown",
        /// The order of falling back when the stomach turns.
        StomachTurns = "stomach-turns",
        /// Signs of heat illness.
        HeatIllness = "heat-illness",
        /// Heat in which races are stopped.
        ExtremeHeat = "extreme-heat",
        /// Signs of cold.
        Cold = "cold",
        /// Skin that freezes.
        Frost = "frost",
        /// Signs of mountain sickness.
        Altitude = "altitude",
        /// Bounds for caffeine.
        Caffeine = "caffeine",
        /// Lightning.
        Thunderstorm = "thunderstorm",
        /// Conditions to talk over with a doctor.
        HealthConditions = "health-conditions",
        /// Matters that change with age.
        AgeOver50 = "age-over-50",
        /// Runners under 18.
        Minor = "minor",
        /// Chances that are gone once missed.
        NoCatchingUp = "no-catching-up",
        /// Holding the finish is harder than the plan.
        HarderThanShown = "harder-than-shown",
        /// The body decides about training.
        BodyFirst = "body-first",
        /// Pain that lasts.
        Pain = "pain",
        /// Training while ill.
        Illness = "illness",
        /// Long runs in heat and cold.
        HeatAndCold = "heat-and-cold",
        /// Long runs by night.
        Night = "night",
    }
}
