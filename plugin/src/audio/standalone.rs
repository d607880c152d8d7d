//! The position in the song for the stand-alone program, which has no host to report beats.

use nice_plug::prelude::{PluginApi, Transport};

/// The transport with a beat position counted from samples at a steady tempo, because the framework's
/// stand-alone program gives no reliable one. Bars and beats from JACK are ignored: JACK counts the first
/// beat as 1 and assumes four quarters in every bar.
pub fn own_time(api: PluginApi, reported: &Transport) -> Option<Transport> {
    if api != PluginApi::Standalone {
        return None;
    }
    let rate = f64::from(reported.sample_rate);
    let position = reported.pos_samples.zip(reported.tempo);
    #[expect(clippy::cast_precision_loss, reason = "exact for 5,000 years of samples")]
    let beats = position.map(|(samples, tempo)| samples as f64 / rate * tempo / 60.0);
    let mut own = Transport::new(reported.sample_rate);
    own.playing = reported.playing;
    own.tempo = reported.tempo;
    own.time_sig_numerator = reported.time_sig_numerator;
    own.time_sig_denominator = reported.time_sig_denominator;
    own.pos_samples = reported.pos_samples;
    own.pos_beats = beats.filter(|beats| beats.is_finite());
    Some(own)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn beats_are_counted_from_samples_without_a_host() {
        let mut reported = Transport::new(48_000.0);
        (reported.playing, reported.tempo, reported.pos_samples) = (true, Some(90.0), Some(64_000));
        reported.pos_beats = Some(17.0);
        let own = own_time(PluginApi::Standalone, &reported).unwrap();
        assert_eq!((own.playing, own.pos_beats, own.tempo), (true, Some(2.0), Some(90.0)));
        assert!(own_time(PluginApi::Clap, &reported).is_none(), "a host's word holds");
        reported.tempo = None;
        assert_eq!(own_time(PluginApi::Standalone, &reported).unwrap().pos_beats, None);
    }
}
