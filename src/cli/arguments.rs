//! What may be asked for on the command line, with the help that teaches it. Refuses to do any of it.

use crate::judge::{Grade, GradeSet};
use crate::quantity::Date;
use crate::report::{CheckFormat, Format};
use clap::builder::{PossibleValuesParser, TypedValueParser};
use clap::{Args, Parser, Subcommand, ValueEnum};
use std::path::{Path, PathBuf};

/// Everything on the command line.
#[derive(Parser, Debug)]
#[command(
    name = "trochoid",
    version,
    about = "Judges the measurement record of a rebuilt rotary engine against rulebooks a shop writes itself",
    arg_required_else_help = true,
    disable_help_subcommand = true,
    after_help = super::left_out::without("Examples:\n  trochoid blank light_2mm          print an empty record to fill in\n  \
                  trochoid bench SHOP               enter readings in a browser, graded as they are typed\n  \
                  trochoid import readings.csv      make records from a spreadsheet's table\n  \
                  trochoid check builds/            judge every record below a folder\n  \
                  trochoid explain row-out          say what the code of a finding means\n  \
                  trochoid explain K-1.yaml rotor.front.side_clearance\n  \
                  trochoid identify rotor.pocket=machined           say which generation it belongs to\n  \
                  trochoid list readings rotor      every name there is, so that you need not guess\n  \
                  trochoid audit builds/ --before old-books/        say what changed rules mean for them\n  \
                  trochoid prove books/             say what can be proved about rulebooks alone\n  \
                  trochoid report builds/ --to sheets/              build sheets to hand over and to print\n  \
                  trochoid rework K-1.yaml          say what would put it right\n  \
                  trochoid tidy --check books/      say whether they are in their layout\n  \
                  trochoid trend rotor.side_clearance builds/       chart it over all builds\n\n\
                  `trochoid COMMAND --help` has the rest.")
)]
pub(super) struct Arguments {
    #[command(subcommand)]
    pub(super) command: Command,
}

#[derive(Subcommand, Debug)]
pub(super) enum Command {
    Audit(super::audit::Audit),
    #[cfg(feature = "pages")]
    Bench(super::bench::Bench),
    Blank(super::blank::Blank),
    Check(Check),
    Completions(super::install::Completions),
    Explain(super::explain::Explain),
    Identify(super::identify::Identify),
    Import(super::import::Import),
    #[cfg(feature = "editor")]
    LanguageServer(super::language_server::LanguageServer),
    List(super::list::List),
    Match(super::matching::Match),
    Manual(super::install::Manual),
    Prove(super::prove::Prove),
    #[cfg(feature = "pages")]
    Report(super::report::Report),
    Rework(super::rework::Rework),
    Tidy(super::tidy::Tidy),
    Trend(super::trend::Trend),
}

/// Judge one record, or every record below a folder
///
/// A record is a YAML or JSON file with the readings of one build. It is judged by the rulebooks of its shop: those
/// named in the `trochoid.yaml` in its folder or the nearest folder above, or the shipped ones where there is none.
#[derive(Args, Debug)]
#[command(
    arg_required_else_help = true,
    after_help = "\
Examples:
  trochoid check builds/K-0147.yaml       one record, every finding drawn
  trochoid check builds/                  every record below a folder
  trochoid check shelf/R-017.yaml         one loose part: the rows that need no other part
  trochoid check builds/ --only out       show only what is out; count the rest
  trochoid check builds/ --only worn,advisory    what is worn, and what unverified rows say
  trochoid check builds/ --quiet          one line for each build that fails
  trochoid check builds/ --books trial/   judge by other rulebooks
  trochoid check builds/ --format plain | grep side_clearance
  trochoid check builds/ --format json > verdicts.json
  trochoid check builds/ --within 10%     which builds pass only at the edge
  trochoid check builds/ --having lot=S-12 --quiet    only those with parts of one lot
  trochoid check builds/ --conversions    whether an inch turned into millimetres decided anything
  trochoid check builds/ --count --quiet  which measurements fail most often
  trochoid check builds/ --format sarif > verdicts.sarif
  trochoid check builds/ --format csv > verdicts.csv
  trochoid check builds/ --format junit > verdicts.xml
  trochoid check builds/ --format jsonl | jq -c 'select(.passes == false) | .build'
  trochoid check builds/ --sheets signed/ write what was found about each build into a folder

Exit status:
  0  every build and every part passes: its grade is good, worn or excused
  1  some build or part fails: it is out, unmeasured or unsettled, or its record has errors
  2  not everything could be done: a rulebook with errors, a file that cannot be read,
     nothing to judge, a word on the command line that means nothing"
)]
pub(super) struct Check {
    /// Records, or folders with records below them (*.yaml, *.yml, *.json); `-` for standard input
    #[arg(required = true, value_name = "PATH", add = super::complete::records())]
    pub(super) paths: Vec<PathBuf>,

    /// Judge every record by this rulebook, or by every rulebook in this folder
    #[arg(long, value_name = "PATH")]
    pub(super) books: Option<PathBuf>,

    /// How to write what is found
    #[arg(long, value_name = "FORMAT", value_enum, default_value_t = CheckFormatName::Graphic)]
    pub(super) format: CheckFormatName,

    /// Show only rows of these grades, as in `out,unmeasured`; all are still counted
    ///
    /// Rows marked advisory are shown with the word `advisory`, as in `worn,advisory`. Errors and warnings about the record itself,
    /// its gauges and its rulebooks are always shown. JUnit XML always has every row, since its totals are of all of them.
    #[arg(long, value_name = "GRADES", value_delimiter = ',', value_parser = only_words())]
    pub(super) only: Vec<Only>,

    /// Show each row that waits for a reading, with its reason, in place of the list of what is still to be measured
    #[arg(long)]
    pub(super) all: bool,

    /// Say only which builds fail, one line each, and the summary
    ///
    /// Rulebooks with errors and files that cannot be read are still reported. Formats for programs are always complete.
    #[arg(long, short)]
    pub(super) quiet: bool,

    /// Judge by the rows in force on this day [default: the day each build was finished]
    #[arg(long, value_name = "DATE", value_parser = day)]
    pub(super) as_of: Option<Date>,

    /// Say something about the machine that loose parts go into, as in `duty=street`; otherwise rows that depend on it
    /// are judged both ways
    #[arg(long, value_name = "READING=VALUE", value_parser = super::question::given)]
    pub(super) given: Vec<(String, String)>,

    /// Only records in which a reading has exactly this value, as in `lot=S-12`; positions may be left out
    #[arg(long, value_name = "READING=VALUE")]
    pub(super) having: Vec<String>,

    /// Only records with a reading by this gauge
    #[arg(long, value_name = "NAME")]
    pub(super) gauge: Option<String>,

    /// Name the values that pass this near to an end of their range: a share of its width, or of the end itself if it
    /// has only one
    #[arg(long, value_name = "SHARE", value_parser = super::question::share)]
    pub(super) within: Option<u16>,

    /// Count which rows fail most often
    #[arg(long)]
    pub(super) count: bool,

    /// Show what became of each part and engine: every build of this shop that its tag or serial number was in, what changed from
    /// one to the next, and what is left to the limit
    #[arg(long)]
    pub(super) history: bool,

    /// Show the verdicts that would change if values measured in another unit were converted to the unit their range is printed
    /// in, and rounded to as many decimals as are printed there
    #[arg(long)]
    pub(super) conversions: bool,

    /// Write a verdict sheet for each build into this folder: every ruling, with digests of record, books and gauges
    ///
    /// A sheet that already says the same is left as it was signed. One that says something else is left too, and reported,
    /// unless `--replace` is given.
    #[arg(long, value_name = "DIR")]
    pub(super) sheets: Option<PathBuf>,

    /// Replace verdict sheets that say something else
    #[arg(long, requires = "sheets")]
    pub(super) replace: bool,

    /// Use this as today: a build finished later is an error [default: TROCHOID_TODAY in the environment, otherwise
    /// this machine's clock]
    #[arg(long, value_name = "DATE", value_parser = day)]
    pub(super) today: Option<Date>,

    /// The day verdict sheets are signed [default: today, by this machine's clock]
    #[arg(long, value_name = "DATE", value_parser = day, requires = "sheets")]
    pub(super) signed: Option<Date>,

    #[command(flatten)]
    pub(super) drawing: Drawing,

    #[command(flatten)]
    pub(super) work: Work,
}

impl Check {
    /// The rulings that get findings: none where none would be printed, for putting them into words costs more than
    /// judging.
    pub(super) fn tell(&self) -> GradeSet {
        let document = self.format.format().is_document();
        if self.quiet && !document {
            return GradeSet::default();
        }
        let set = self.shown().unwrap_or(GradeSet::NOT_GOOD);
        if document || self.all { set } else { set.with_list() }
    }

    /// The rulings `--only` asks for, if it is given.
    pub(super) fn shown(&self) -> Option<GradeSet> {
        let grade = |only: &Only| match only {
            Only::Grade(grade) => Some(*grade),
            Only::Advisory => None,
        };
        let set = GradeSet::of(&self.only.iter().filter_map(grade).collect::<Vec<Grade>>());
        let set = if self.only.contains(&Only::Advisory) { set.with_advisory() } else { set };
        (!self.only.is_empty()).then_some(set)
    }
}

/// A word of `--only`.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Only {
    /// Rows of this grade that bind.
    Grade(Grade),
    /// Rows marked advisory, whatever their grade.
    Advisory,
}

/// A day as `--as-of` takes it.
pub(super) fn day(text: &str) -> Result<Date, String> {
    Date::parse(text).ok_or_else(|| "write the day as YEAR-MONTH-DAY, such as 2026-06-01".to_string())
}

/// The words of `--only`: the grades that have findings, and `advisory`.
fn only_words() -> impl TypedValueParser<Value = Only> {
    let not_good = Grade::ALL.into_iter().filter(|grade| *grade != Grade::Good);
    let words = not_good.map(Grade::word).chain(["advisory"]);
    PossibleValuesParser::new(words).map(|word| Grade::from_word(&word).map_or(Only::Advisory, Only::Grade))
}

/// The words for the formats of `check`.
#[derive(ValueEnum, Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum CheckFormatName {
    /// Drawn, with the text that each finding is about
    Graphic,
    /// One line per finding: `file:line:column: fault, row-out: message`
    Plain,
    /// One JSON document with every ruling
    Json,
    /// JSON Lines: one line per record as soon as it is judged, the totals of the run last
    Jsonl,
    /// One SARIF 2.1.0 document with every finding, for code hosts and viewers
    Sarif,
    /// Comma-separated text with every ruling, for spreadsheets
    Csv,
    /// JUnit XML with a test case for every ruling, for programs that show test results
    Junit,
}

impl CheckFormatName {
    /// The word it is asked for by.
    pub(super) fn word(self) -> String {
        self.to_possible_value().map(|value| value.get_name().to_string()).unwrap_or_default()
    }

    pub(super) fn format(self) -> CheckFormat {
        match self {
            CheckFormatName::Graphic => CheckFormat::Graphic,
            CheckFormatName::Plain => CheckFormat::Plain,
            CheckFormatName::Json => CheckFormat::Json,
            CheckFormatName::Jsonl => CheckFormat::JsonLines,
            CheckFormatName::Sarif => CheckFormat::Sarif,
            CheckFormatName::Csv => CheckFormat::Csv,
            CheckFormatName::Junit => CheckFormat::Junit,
        }
    }
}

/// The words for the formats of other commands.
#[derive(ValueEnum, Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum FormatName {
    /// Drawn, with the text that each finding is about
    Graphic,
    /// One line per finding: `file:line:column: fault, row-out: message`
    Plain,
    /// One JSON document with every ruling
    Json,
}

impl FormatName {
    pub(super) fn format(self) -> Format {
        match self {
            FormatName::Graphic => Format::Graphic,
            FormatName::Plain => Format::Plain,
            FormatName::Json => Format::Json,
        }
    }
}

/// How to get through many records.
#[derive(Args, Clone, Debug)]
pub(super) struct Work {
    /// Keep results in this file, and reuse the results that are in it
    ///
    /// Each result is kept under a digest of all it rests on (record, rulebooks, gauges, this program, flags), so no
    /// result taken from it is out of date. The file is created if it does not exist, and may be removed at any time.
    #[cfg(feature = "cache")]
    #[arg(long, value_name = "FILE")]
    cache: Option<PathBuf>,

    /// Records to judge at the same time [default: one for each processor]
    #[arg(long, value_name = "NUMBER", value_parser = clap::value_parser!(u16).range(1..=256))]
    threads: Option<u16>,
}

impl Work {
    /// The file that results are kept in.
    pub(super) fn cache(&self) -> Option<&Path> {
        #[cfg(feature = "cache")]
        return self.cache.as_deref();
        #[cfg(not(feature = "cache"))]
        None
    }

    /// On how many threads to work.
    pub(super) fn threads(&self) -> usize {
        match self.threads {
            Some(threads) => usize::from(threads),
            None => std::thread::available_parallelism().map_or(1, usize::from),
        }
    }

    /// The threads, where there are several and they can be had; where not, the work is done on the one there is.
    pub(super) fn pool(&self) -> Option<rayon::ThreadPool> {
        let threads = self.threads();
        (threads > 1).then(|| rayon::ThreadPoolBuilder::new().num_threads(threads).build().ok()).flatten()
    }
}

/// How to draw on a terminal.
#[derive(Args, Clone, Copy, Debug)]
pub(super) struct Drawing {
    /// Columns to draw in [default: the terminal's, or 80]
    #[arg(long, value_name = "COLUMNS", value_parser = clap::value_parser!(u16).range(40..=1000))]
    pub(super) width: Option<u16>,

    /// When to colour
    ///
    /// `auto` colours on a terminal, unless NO_COLOR is set.
    #[arg(long, visible_alias = "color", value_name = "WHEN", value_enum, default_value_t = Colour::Auto)]
    pub(super) colour: Colour,
}

/// The words for when to colour.
#[derive(ValueEnum, Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Colour {
    /// On a terminal
    Auto,
    /// Always
    Always,
    /// Never
    Never,
}

#[cfg(test)]
mod tests {
    use super::*;
    use clap::CommandFactory;

    #[test]
    fn the_command_line_fits_together() {
        Arguments::command().debug_assert();
    }

    #[test]
    fn every_grade_but_good_may_be_asked_for() {
        for grade in Grade::ALL {
            let asked = Arguments::try_parse_from(["trochoid", "check", "a", "--only", grade.word()]);
            let told = asked.ok().map(|asked| match asked.command {
                Command::Check(check) => check.tell().contains(grade),
                _ => false,
            });
            assert_eq!(told, (grade != Grade::Good).then_some(true), "{}", grade.word());
        }
    }
}
