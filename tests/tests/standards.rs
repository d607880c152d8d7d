//! Facts of the plugin standards that the capture of the transport rests on, and what the plugin
//! makes of a host that sends only a part of them.
//!
//! Source of the numbers: `clap/fixedpoint.h` and `clap/events.h` of CLAP 1.x, and
//! `pluginterfaces/vst/ivstprocesscontext.h` of the VST 3 SDK.

use clack_host::events::event_types::TransportFlags;
use clack_host::utils::BeatTime;
use nice_plug::wrapper::vst3::vst3::Steinberg::Vst::ProcessContext_::StatesAndFlags_ as vst3;
use overbar_tests::host::{Block, ClapRig, EventKind, Host, HostTransport};
use overbar_tests::{bundle, live};

#[test]
fn flags_and_beat_time_of_clap() {
    assert_eq!(BeatTime::from_int(1).to_bits(), 1 << 31);
    assert_eq!(BeatTime::from_float(-2.5).to_bits(), -5 << 30);
    let flags = [
        (TransportFlags::HAS_TEMPO, 1),
        (TransportFlags::HAS_BEATS_TIMELINE, 2),
        (TransportFlags::HAS_SECONDS_TIMELINE, 4),
        (TransportFlags::HAS_TIME_SIGNATURE, 8),
        (TransportFlags::IS_PLAYING, 16),
        (TransportFlags::IS_RECORDING, 32),
        (TransportFlags::IS_LOOP_ACTIVE, 64),
        (TransportFlags::IS_WITHIN_PRE_ROLL, 128),
    ];
    for (flag, bits) in flags {
        assert_eq!(flag.bits(), bits, "{flag:?}");
    }
}

#[test]
fn flags_of_vst3() {
    assert_eq!([vst3::kPlaying, vst3::kCycleActive, vst3::kRecording], [2, 4, 8]);
    assert_eq!([vst3::kProjectTimeMusicValid, vst3::kTempoValid], [512, 1_024]);
    assert_eq!(
        [vst3::kBarPositionValid, vst3::kCycleValid, vst3::kTimeSigValid],
        [2_048, 4_096, 8_192]
    );
}

/// Position and tempo make a beat grid; without a signature it is 4/4; nothing else is needed.
#[test]
fn a_part_of_the_transport() {
    let whole = HostTransport {
        beats: Some(9.0),
        tempo: Some(120.0),
        signature: Some((3, 4)),
        playing: true,
        ..HostTransport::default()
    };
    for (transport, bar) in [
        (whole, Some(4)),
        (HostTransport { signature: None, ..whole }, Some(3)),
        (HostTransport { tempo: None, ..whole }, None),
        (HostTransport { beats: None, ..whole }, None),
        (HostTransport { playing: false, ..whole }, None),
        // What hosts are known to report wrongly does not matter.
        (HostTransport { bar_start: Some(40.0), bar_number: Some(77), ..whole }, Some(4)),
    ] {
        let mut host = ClapRig::load(&bundle::clap()).unwrap();
        host.activate(live::RATE, 64).unwrap();
        let on = EventKind::NoteOn { key: 60, channel: 0, velocity: 0.7 };
        let mut block = Block::empty(64).with(0, on);
        block.transport = Some(transport);
        host.process(&block);
        let takes = live::takes(&mut host);
        let heard =
            takes.first().map(|take| take.metres.bar_at(take.soloist.notes()[0].on.beat).number);
        assert_eq!(heard, bar, "{transport:?}");
    }
}
