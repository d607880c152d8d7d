//! The position in the song for the stand-alone program, which has no host to report beats.

use nice_plug::prelude::{PluginApi, Transport};

/// The transport with a beat position computed from samples at a steady tempo, where the framework's
/// stand-alone program gives no reliable one. Bars and beats from JACK are ignored: they count the
/// first beat as 1 and every bar as four quarters.
pub fn own_time(api: PluginApi, told: &Transport) -> Option<Transport> {
    if api != PluginApi::Standalone {
        return None;
    }
    let rate = f64::from(told.sample_rate);
    let position = told.pos_samples.zip(told.tempo);
    #[expect(clippy::cast_precision_loss, reason = "exact for 5,000 years of samples")]
    let beats = position.map(|(samples, tempo)| samples as f64 / rate * tempo / 60.0);
    let mut own = Transport::new(told.sample_rate);
    own.playing = told.playing;
    own.tempo = told.tempo;
    own.time_sig_numerator = told.time_sig_numerator;
    own.time_sig_denominator = told.time_sig_denominator;
    own.pos_samples = told.pos_samples;
    own.pos_beats = beats.filter(|beats| beats.is_finite());
    Some(own)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn beats_follow_from_samples_where_there_is_no_host() {
        let mut told = Transport::new(48_000.0);
        (told.playing, told.tempo, told.pos_samples) = (true, Some(90.0), Some(64_000));
        told.pos_beats = Some(17.0);
        let own = own_time(PluginApi::Standalone, &told).unwrap();
        assert_eq!((own.playing, own.pos_beats, own.tempo), (true, Some(2.0), Some(90.0)));
        assert!(own_time(PluginApi::Clap, &told).is_none(), "a host's word holds");
        told.tempo = None;
        assert_eq!(own_time(PluginApi::Standalone, &told).unwrap().pos_beats, None);
    }
}
