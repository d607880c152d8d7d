//! Quantiles of Student's t and of the chi-squared distribution for 95 % intervals.

use statrs::distribution::{ChiSquared, ContinuousCDF as _, StudentsT};
use std::sync::OnceLock;

/// More degrees of freedom count as this many, because `statrs` loses digits there and at some counts
/// never returns. The interval of a mean is then at most 0.02 % too wide; that of a standard deviation
/// stays at ±1.4 %.
const MAX_DEGREES: u32 = 10_000;

const LOWER: f64 = 0.025;
const UPPER: f64 = 0.975;

/// How many standard errors a 95 % interval of a mean reaches; `None` for no degrees of freedom.
pub fn mean_reach(degrees: u32) -> Option<f64> {
    let degrees = bounded(degrees)?;
    let reach = || {
        let student = StudentsT::new(0.0, 1.0, f64::from(degrees)).ok()?;
        Some(student.inverse_cdf(UPPER))
    };
    let kept = usize::try_from(degrees).ok().and_then(|degrees| REACHES.get(degrees));
    kept.map_or_else(reach, |kept| *kept.get_or_init(reach))
}

/// [`mean_reach`] for few degrees of freedom, cached because small samples come by the thousand.
static REACHES: [OnceLock<Option<f64>>; 512] = [const { OnceLock::new() }; 512];

/// The ends of the 95 % interval of a standard deviation, as factors of the sample's; `None` for no
/// degrees of freedom.
pub fn sd_factors(degrees: u32) -> Option<(f64, f64)> {
    let degrees = f64::from(bounded(degrees)?);
    let chi_squared = ChiSquared::new(degrees).ok()?;
    let factor = |at| (degrees / chi_squared.inverse_cdf(at)).sqrt();
    Some((factor(UPPER), factor(LOWER)))
}

fn bounded(degrees: u32) -> Option<u32> {
    (degrees > 0).then_some(degrees.min(MAX_DEGREES))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Degrees, the 97.5 % point of t, the 2.5 % and 97.5 % points of chi-squared. Source: scipy 1.17.
    const POINTS: [(u32, f64, f64, f64); 14] = [
        (1, 12.706_204_736_174_69, 9.820_691_171_752_555e-4, 5.023_886_187_314_888),
        (2, 4.302_652_729_749_462, 5.063_561_596_857_975e-2, 7.377_758_908_227_871),
        (3, 3.182_446_305_283_708, 0.215_795_282_623_897_9, 9.348_403_604_496_148),
        (4, 2.776_445_105_197_793, 0.484_418_557_087_929_9, 11.143_286_781_877_8),
        (5, 2.570_581_835_636_315, 0.831_211_613_486_662_5, 12.832_501_994_030_03),
        (7, 2.364_624_251_592_784, 1.689_869_180_677_355, 16.012_764_274_629_33),
        (10, 2.228_138_851_986_274, 3.246_972_780_236_841, 20.483_177_350_807_39),
        (20, 2.085_963_447_265_864, 9.590_777_392_264_867, 34.169_606_902_838_33),
        (30, 2.042_272_456_301_238, 16.790_772_265_566_63, 46.979_242_243_671_15),
        (60, 2.000_297_822_014_26, 40.481_748_042_841_83, 83.297_674_877_173_2),
        (100, 1.983_971_518_523_552, 74.221_927_474_923_72, 129.561_197_185_836_6),
        (120, 1.979_930_405_082_44, 91.572_641_900_014_53, 152.211_402_725_151_5),
        (1_000, 1.962_339_080_826_408, 914.257_153_799_259, 1_089.530_912_774_914),
        (10_000, 1.960_201_239_890_626, 9_724.718_377_389_798, 10_279.070_179_887_59),
    ];

    #[test]
    fn quantiles_as_computed_by_scipy() {
        for (degrees, t, low, high) in POINTS {
            let factors = sd_factors(degrees).unwrap();
            let factor = |point: f64| (f64::from(degrees) / point).sqrt();
            for (got, expected) in [
                (mean_reach(degrees).unwrap(), t),
                (factors.0, factor(high)),
                (factors.1, factor(low)),
            ] {
                assert!((got / expected - 1.0).abs() < 1e-9, "{degrees}: {got}, not {expected}");
            }
        }
        assert_eq!((mean_reach(0), sd_factors(0)), (None, None));
    }

    #[test]
    fn intervals_narrow_with_every_value_and_never_end_in_a_search() {
        let narrower = |at: &[u32; 2]| {
            let [few, more] =
                at.map(|degrees| (mean_reach(degrees).unwrap(), sd_factors(degrees).unwrap()));
            more.0 < few.0 && more.1.0 > few.1.0 && more.1.1 < few.1.1
        };
        assert!((1..MAX_DEGREES).step_by(7).all(|degrees| narrower(&[degrees, degrees + 1])));
        assert_eq!(mean_reach(u32::MAX), mean_reach(MAX_DEGREES));
        assert_eq!(sd_factors(u32::MAX), sd_factors(MAX_DEGREES));
        assert!(mean_reach(u32::MAX).unwrap() / super::super::Z_95 - 1.0 < 2e-4);
    }
}
