//! Each figure explains itself: what it is and where the idea or the number comes from, in two
//! sentences, while the pointer is over it or it has the focus.

use crate::panel::widgets::pen::Pen;
use egui::{Response, Sense};
use overbar_core::practice::metronome::LEVEL_CAUTION;

/// What something that explains itself senses: the focus can come to it.
pub fn sense() -> Sense {
    Sense::focusable_noninteractive()
}

impl Pen<'_> {
    /// Lets `response` explain itself with `words`.
    pub fn explain(&self, response: Response, words: &'static str) -> Response {
        let context = self.ui.ctx();
        context.accesskit_node_builder(response.id, |node| node.set_description(words));
        self.focus_ring(&response);
        if response.has_focus() {
            response.show_tooltip_text(words);
            return response;
        }
        response.on_hover_text(words)
    }
}

/// The running figure.
pub const OFF_BEAT: &str = "The share of phrases whose first note is not on a beat of the bar, with \
    its count and Wilson's 95 % interval (1927). The green band is the middle half of recorded \
    solos in 4/4 (Weimar Jazz Database, Pfleiderer and others 2017).";

/// The columns over the bar.
pub const ENTRIES: &str = "How many phrases came in at each place of the bar: a wide column for \
    each beat and its “and”, narrow ones for triplets and finer spots. Each note is read to the \
    place that best explains it at its tempo, by this program's own model.";

/// The longest phrase.
pub const LONGEST: &str = "The longest phrase that is over, from its first attack to the end of its \
    last note. A bar is the song's own, through changes of metre; common practice, no source.";

/// Time in rests.
pub const RESTS: &str = "The part of the time that lies in rests between phrases, from the first \
    attack to the last end. How much room to leave is a matter of style; no published norm.";

/// Exits off the beat.
pub const EXITS: &str = "Phrases whose last attack is not on a beat, of those that are over. Read as \
    entries are; teaching practice, no published norm.";

/// Over the bar line.
pub const OVER: &str = "Phrases that go on over at least one bar line, of those that are over. \
    Teaching practice, no published norm.";

/// An alert.
pub const ALERT: &str = "It came up because the count set under Settings was reached, and it goes \
    when the playing changes. The counts are teaching practice, no published source.";

/// The notes of a phrase.
pub const NOTES: &str = "Each note where it was played, against the bar lines and beats of the song. \
    Its shape says its place: capped on beat one, square on a beat, round off the beat, pointed \
    elsewhere.";

/// The time feel of a phrase.
pub const FEEL: &str = "Late or ahead is the mean distance of notes on a beat from that beat; soloists \
    tend to lie some 30 ms behind (Nelias and others 2022). Swing is the long eighth against the \
    short one, the beat-upbeat ratio of Benadon (2006), by its median.";

/// The list of takes.
pub const TAKES: &str = "Each pass of the transport in which something was played is a take. Shares \
    are of its phrases, with Wilson's 95 % interval (1927) as a line; the length is the median of \
    phrases that are over.";

/// The parts of a take.
pub const PARTS: &str = "A phrase belongs to the chorus, section and solo it enters in. Shares are of \
    its phrases, with Wilson's 95 % interval (1927) as a line; solos are told apart by bars of \
    rest as set in the settings, eight at first: common practice without a source.";

/// Notes against chords.
pub const CHORDS: &str = "Notes that are tones of the chord that holds as they begin, and guide tones: \
    its third and seventh. Strong beats are those of the metre; an arrival is the note that meets a \
    change. They are counted and not judged: Wilson's 95 % interval (1927) stands beside each.";

/// Progress over days and weeks.
pub const PROGRESS: &str = "Every take and drill of the library, by week or day with 95 % intervals, over \
    what four in five recorded solos do (Weimar Jazz Database, Pfleiderer and others 2017). A \
    figure has changed where this week differs from the four weeks before by more than chance, \
    reckoned over all figures together (Newcombe 1998).";

/// The form of the tune.
pub const FORM: &str = "The form is set once for a tune and comes back with its name; takes keep to the \
    form of the tune they are of. Bars are the host's, and choruses follow one another from the first bar on. Sections are written as name and bars, chords between bar \
    lines.";

/// The count of a drill.
pub const DRILL_COUNT: &str = "What this drill counts in the chorus under way, and in all choruses once \
    it is over. Notes and phrases are read as everywhere else here; pitch is not judged.";

/// The choruses of a drill.
pub const DRILL_MARKS: &str = "A chorus a row: full marks are bars without a gap, or phrases as asked \
    for; low ones are those with a gap or elsewhere. The pass mark is teaching practice, no \
    published source.";

/// What is due.
pub const DRILL_DUE: &str = "What the drill asks for next, on the host's beat grid. It is shown before it \
    is due.";

/// A drill beside another.
pub const DRILL_ADD: &str = "Practises it together with the chosen drill. Keep that as a mix of your \
    own if it is worth it.";

/// An own mix that is to go.
pub const DRILL_FORGET: &str = "Takes this mix out of the list. What was heard of it stays.";

/// The text of a drill.
pub const DRILL_TEXT: &str = "The drill as a small text file, to keep and to share. With the focus here, \
    Ctrl+C copies it and Ctrl+V reads another one.";

/// Takes side by side.
pub const COMPARED: &str = "Shares of phrases with Wilson's 95 % interval (1927), and the mean length in \
    bars. A difference is claimed in words only where all that is claimed at once has a chance of \
    5 % of one false claim (Newcombe 1998, Holm 1979).";

/// The comp.
pub const COMP: &str = "Figures of the spliced notes, read anew. These bars were chosen: they say \
    what the comp is, and not how the soloist plays.";

/// The columns of the comp sheet.
pub const COLUMNS: &str = "Each column is of one take, so a take can be left at every bar line that \
    begins a column. Choruses and sections are those of the tune's form.";

/// What a proposed comp is best at.
pub const AIMS: &str = "No other comp of these takes and columns is better for this aim: the search is \
    exact. Where several are equal in it, the other aims decide in turn.";

/// Where seams lie.
pub const NUDGE: &str = "A seam moves to the nearest rest of both takes where that has fewer faults, \
    by at most a bar. Both takes are cut at the same distance from the bar line.";

/// What a setting does; nothing for one that says it all by its name.
pub fn setting(id: &str) -> Option<&'static str> {
    Some(match id {
        "one_streak" => {
            "An alert comes up when this many phrases in a row begin on beat one. Teaching \
             practice, no published source."
        }
        "short_streak" => {
            "An alert comes up when this many phrases in a row are short. Teaching practice, no \
             published source."
        }
        "short_bars" => {
            "A phrase of fewer bars than this is short. Teaching practice, no published source."
        }
        "long_bars" => {
            "A phrase of at least this many bars is a long line. Teaching practice, no published \
             source."
        }
        "long_within" => {
            "An alert comes up when this many bars pass without a long line. Teaching practice, \
             no published source."
        }
        "click" => {
            "A click on the host's beat, out of the plugin's own output. For practice where the \
             host has none."
        }
        "click_places" => {
            "Where it clicks: on every beat, on 2 and 4, in one bar of two, or on one place only."
        }
        "click_count_in" => {
            "So many bars after a start it clicks on every beat, wherever it clicks later."
        }
        "click_level" => LEVEL_CAUTION,
        "channel" => {
            "Only notes of this MIDI channel are the soloist's. Others are kept and counted, but \
             not analysed."
        }
        "low_key" => {
            "Notes under this key are not the soloist's. Key 60 is middle C; what is left out is \
             kept."
        }
        "high_key" => {
            "Notes over this key are not the soloist's. Key 60 is middle C; what is left out is \
             kept."
        }
        "one_offset" => {
            "Which written beat of the host's bar is the tune's beat one. For a song that does \
             not begin on the host's bar line."
        }
        "melody" => {
            "Follows the line through chords, a left hand, bass strings and slips, and takes grace \
             notes for part of the note after them. Upper voice expects two voices from the first \
             note on; every note leaves nothing out."
        }
        "felt_pulse" => {
            "The beat that places are told by, where it is felt half or twice as fast as the \
             host's signature says."
        }
        "feel" => {
            "Whether two thirds of a beat is a swung “and” or, in straight feel, a triplet. As \
             heard takes it for the “and”; swing expects it."
        }
        "rig_delay" => {
            "How much later than it was played a note comes in, by keyboard and interface. It is \
             taken off before places and lag are read; taps along with a click tell it."
        }
        "finer" => {
            "How readily the ear hears a new phrase: more tells more phrases apart. In steps of \
             the logarithm of the odds, as fitted on labelled solos; joining and splitting by \
             hand shows which way to go."
        }
        "solo_rest" => {
            "A long take is divided into solos where the soloist rests for so many bars, or at marks \
             only. Eight is common practice without a source: trading leaves fewer."
        }
        "mark" => {
            "Switched on, it marks the place the song has come to: what comes after is another solo. \
             A parameter, so that a pedal can do it."
        }
        "record_only" => {
            "Only what is played while the host says that it records is a take: punching in begins \
             one, punching out ends it. For hosts that say so; other passes are heard and not kept."
        }
        "playback" => {
            "When the host plays back a take that is known, that is no new take. Switch this on to \
             keep it as one, marked as playback."
        }
        "drill" => {
            "Begins a drill, ends it, or begins the one that is chosen under Practice. For a pedal \
             or the host's automation."
        }
        "across" => {
            "Shows the share, the last phrases and the alert large enough to read from four \
             metres. Put it on a pedal to switch it while playing."
        }
        _ => return None,
    })
}
