//! What may be written on the command line.

use std::path::PathBuf;

use clap::{Args as Group, Parser, Subcommand, ValueEnum};
use engine::finding::Severity;

/// Checks, solves and draws the wiring of equipment fitted to a vehicle.
#[derive(Debug, Parser)]
#[command(name = "loomwright", version)]
pub struct Args {
    #[command(subcommand)]
    pub command: Command,
}

/// The commands.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Report what is dangerous, does not work or is outside good practice.
    Check(Check),
    /// Report what is or may be dangerous in a layout drawn as it was found, and what to look at and to do before it is
    /// driven.
    Inspect(Inspect),
    /// Tell what every single mistake would do: what fails, what works unasked, which fuse opens, what gets hot.
    Mistakes(Input),
    /// Give the voltages and currents of one situation.
    Solve(Solve),
    /// Tell of every fuse and wire what a fault draws, how long the fuse takes and how long the wire endures it.
    Protect(Protect),
    /// Find the least copper and the smallest fuses that pass every check.
    Size(Size),
    /// Find the places on the vehicle plan at which parts need the least copper and nothing new is found.
    Sit(Sit),
    /// Tell what alternators and batteries give in each situation, and how long a battery lasts.
    Charge(Charge),
    /// Lead every wire along the vehicle plan: its way and length, what lies on each route, what to cut and in which order.
    Route(Route),
    /// Follow the current through one load, from the supply and back.
    Paths(Paths),
    /// Go through every state that working switches and donor circuits one at a time can lead to.
    Sweep(Sweep),
    /// Lead from a complaint to its cause: the likely causes with their reasons, and the reading to take next.
    Diagnose(Diagnose),
    /// Make the proving sheet: the readings that show every wire, contact and fuse to be right, with what passes.
    Prove(Input),
    /// Tell what differs between two states of one job, such as what was quoted and what was fitted.
    Changes(Changes),
    /// Draw the job as an SVG picture that carries the job in it.
    Draw(Draw),
    /// Make the printed set: circuit sheets, wire list, cut list, fuse table, labels, findings, assumptions.
    Sheets(Sheets),
    /// Show how the numbers of a part or wire of a job came about; without a job, what a check looks for and why.
    Explain(Explain),
}

/// The job, and how to answer.
#[derive(Debug, Group)]
pub struct Input {
    /// Job file, JSON or annotated SVG; `-` reads standard input.
    pub file: PathBuf,
    /// Form of the answer.
    #[arg(long, value_name = "FORM", default_value = "text")]
    pub format: Format,
}

/// Form of an answer.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Format {
    /// For people.
    Text,
    /// One JSON object.
    Json,
}

/// Which situation is meant; at rest when nothing is said.
#[derive(Debug, Default, Group)]
pub struct When {
    /// A situation of the job, by its name.
    #[arg(long, value_name = "NAME", conflicts_with = "set")]
    pub situation: Option<String>,
    /// Position of a part, such as `S1=on`; what is not named is at rest. Say it again for each further part, or write
    /// `S1=on,S2=on`.
    #[arg(long, value_name = "PART=POSITION", value_delimiter = ',')]
    pub set: Vec<String>,
}

impl When {
    /// Whether a situation was asked for.
    pub fn is_said(&self) -> bool {
        self.situation.is_some() || !self.set.is_empty()
    }
}

/// Arguments of `changes`.
#[derive(Debug, Group)]
pub struct Changes {
    /// The job as it was, JSON or annotated SVG; `-` reads standard input.
    pub before: PathBuf,
    #[command(flatten)]
    pub input: Input,
}

/// Arguments of `check`.
#[derive(Debug, Group)]
pub struct Check {
    #[command(flatten)]
    pub input: Input,
    /// End with exit code 1 when something at least this grave is found.
    #[arg(long, value_name = "SEVERITY", default_value = "stop")]
    pub fail_on: FailOn,
    /// Write the job to this file with every fix that makes its finding go and brings no new Stop. What is answered then
    /// is about the job as written.
    #[arg(long, value_name = "OUT.json")]
    pub fix: Option<PathBuf>,
}

/// Arguments of `inspect`.
#[derive(Debug, Group)]
pub struct Inspect {
    #[command(flatten)]
    pub input: Input,
    /// End with exit code 1 when something at least this grave is sure or possible.
    #[arg(long, value_name = "SEVERITY", default_value = "stop")]
    pub fail_on: FailOn,
}

/// The gravest severity that still counts as well.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum FailOn {
    /// Dangerous, or will not work.
    Stop,
    /// Outside good practice.
    Look,
    /// Advice.
    Note,
}

impl FailOn {
    /// The severity of this name.
    pub fn severity(self) -> Severity {
        match self {
            FailOn::Stop => Severity::Stop,
            FailOn::Look => Severity::Look,
            FailOn::Note => Severity::Note,
        }
    }
}

/// Arguments of `solve`.
#[derive(Debug, Group)]
pub struct Solve {
    #[command(flatten)]
    pub input: Input,
    #[command(flatten)]
    pub when: When,
}

/// Arguments of `protect`.
#[derive(Debug, Group)]
pub struct Protect {
    #[command(flatten)]
    pub input: Input,
}

/// Arguments of `size`.
#[derive(Debug, Group)]
pub struct Size {
    #[command(flatten)]
    pub input: Input,
    /// A wire to size, by label or id; say it again for each further wire. All new wires and fuses when it is left out,
    /// and these wires alone when not.
    #[arg(long, value_name = "WIRE")]
    pub wire: Vec<String>,
    /// Where to write the job with the sizes and ratings found.
    #[arg(short, long, value_name = "OUT.json")]
    pub output: Option<PathBuf>,
}

/// Arguments of `sit`.
#[derive(Debug, Group)]
pub struct Sit {
    #[command(flatten)]
    pub input: Input,
    /// The part, by label or id; up to six are given places together.
    #[arg(required = true, value_name = "PART")]
    pub part: Vec<String>,
    /// Where to write the job with the parts at the best places.
    #[arg(short, long, value_name = "OUT.json")]
    pub output: Option<PathBuf>,
}

/// Arguments of `charge`.
#[derive(Debug, Group)]
pub struct Charge {
    #[command(flatten)]
    pub input: Input,
    #[command(flatten)]
    pub when: When,
}

/// Arguments of `route`.
#[derive(Debug, Group)]
pub struct Route {
    #[command(flatten)]
    pub input: Input,
    /// Where to write the plan as a picture, a file that ends in `.svg`.
    #[arg(short, long, value_name = "PLAN.svg")]
    pub output: Option<PathBuf>,
}

/// Arguments of `paths`.
#[derive(Debug, Group)]
pub struct Paths {
    #[command(flatten)]
    pub input: Input,
    /// The load, by label or id.
    pub load: String,
    #[command(flatten)]
    pub when: When,
}

/// Arguments of `sweep`.
#[derive(Debug, Group)]
pub struct Sweep {
    #[command(flatten)]
    pub input: Input,
    /// Only look for the fewest actions that lead to a state, such as `E1 on and S1 off`; exit code 1 when none does.
    #[arg(long, value_name = "STATE")]
    pub reach: Option<String>,
    /// Most changes tried in one set of switches and donor circuits that hang together.
    #[arg(long, value_name = "NUMBER")]
    pub most: Option<usize>,
}

/// Arguments of `diagnose`.
#[derive(Debug, Group)]
pub struct Diagnose {
    #[command(flatten)]
    pub input: Input,
    /// What is complained of, and what was read so far: a JSON file; without it, the fault walk that the job keeps.
    #[arg(long, value_name = "FILE.json")]
    pub observations: Option<PathBuf>,
}

/// Arguments of `sheets`.
#[derive(Debug, Group)]
pub struct Sheets {
    /// Job file, JSON or annotated SVG; `-` reads standard input.
    pub file: PathBuf,
    /// Where to write the set as a PDF.
    #[arg(short, long, value_name = "SET.pdf", required_unless_present_any = ["svg", "csv"])]
    pub output: Option<PathBuf>,
    /// Directory for every sheet as an SVG picture of its own; it is made when it is not there.
    #[arg(long, value_name = "DIR")]
    pub svg: Option<PathBuf>,
    /// Directory for every list as CSV; it is made when it is not there. A cell that a spreadsheet could take for a
    /// formula has an apostrophe before it.
    #[arg(long, value_name = "DIR")]
    pub csv: Option<PathBuf>,
    /// The paper.
    #[arg(long, ignore_case = true, value_name = "PAPER", default_value = "a4")]
    pub paper: PaperName,
    /// Whether wires carry the colour of their insulation, or everything is black.
    #[arg(long, value_name = "INK", default_value = "colored")]
    pub ink: InkName,
    /// Add what `inspect` tells; a job in which nothing is new has it in any case.
    #[arg(long)]
    pub inspection: bool,
    /// Add the proving sheet that `prove` makes, with room to write in.
    #[arg(long)]
    pub proof: bool,
    /// Card and parts of a workshop: its card above the title block, its order numbers in the parts list.
    #[arg(long, value_name = "FILE")]
    pub workshop: Option<PathBuf>,
    /// Tell the prices of the workshop in the parts list too.
    #[arg(long, requires = "workshop")]
    pub prices: bool,
    /// Tell what is cut in feet and inches too.
    #[arg(long)]
    pub feet: bool,
    /// Readings to put on the circuit; none when no situation is named.
    #[command(flatten)]
    pub when: When,
}

/// A paper by its name.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum PaperName {
    /// 210 by 297 mm.
    A4,
    /// 297 by 420 mm.
    A3,
    /// 8 1/2 by 11 inches.
    Letter,
    /// 11 by 17 inches.
    Tabloid,
}

/// An ink by its name.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum InkName {
    /// Wires carry the colour of their insulation.
    Colored,
    /// Black on white, for office printers.
    Black,
}

/// Arguments of `draw`.
#[derive(Debug, Group)]
pub struct Draw {
    /// Job file, JSON or annotated SVG; `-` reads standard input.
    pub file: PathBuf,
    /// The picture to write; `-` writes standard output.
    #[arg(short, long, value_name = "OUT.svg")]
    pub output: PathBuf,
    #[command(flatten)]
    pub when: When,
}

/// Arguments of `explain`.
#[derive(Debug, Group)]
pub struct Explain {
    /// Name of a check, all of which are listed when it is left out; with `--job` a part or wire, by label or id.
    pub name: Option<String>,
    /// The job that has the part or wire: JSON or annotated SVG; `-` reads standard input.
    #[arg(long, value_name = "FILE", requires = "name")]
    pub job: Option<PathBuf>,
    #[command(flatten)]
    pub when: When,
    /// Form of the answer.
    #[arg(long, value_name = "FORM", default_value = "text")]
    pub format: Format,
}

#[cfg(test)]
mod tests {
    use clap::CommandFactory;

    use super::*;

    #[test]
    fn the_arguments_are_consistent() {
        Args::command().debug_assert();
    }

    #[test]
    fn any_arguments_are_parsed_or_refused() {
        let command = Args::command();
        let mut words: Vec<String> = command.get_subcommands().map(|sub| sub.get_name().to_owned()).collect();
        let n_commands = words.len();
        for argument in command.get_subcommands().flat_map(|sub| sub.get_arguments()) {
            words.extend(argument.get_long().map(|long| format!("--{long}")));
        }
        let odd = [
            "-", "--", "-o", "=", "S1=on", "S1=on,S2", "=,=", "", "-1", "1e999", "\u{202e}", "\0",
            "job.json", "text",
        ];
        words.extend(odd.map(str::to_owned));
        words.push("x".repeat(100_000));
        // The multiplier of Knuth's MMIX; the upper bits are the scattered ones.
        let mut state = 1u64;
        let mut below = |end: usize| {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            (state >> 33) as usize % end
        };
        let (mut n_parsed, mut n_refused) = (0, 0);
        for _ in 0..4000 {
            let mut line =
                vec!["loomwright".to_owned(), words[below(n_commands)].clone(), "job.json".to_owned()];
            for _ in 0..below(4) {
                let word = words[below(words.len())].clone();
                let at = 1 + below(line.len());
                line.insert(at, word);
            }
            match Args::try_parse_from(&line) {
                Ok(_) => n_parsed += 1,
                Err(error) => {
                    n_refused += 1;
                    assert!(!error.to_string().is_empty(), "{line:?}");
                }
            }
        }
        println!("{} lines: {n_parsed} parsed, {n_refused} refused", n_parsed + n_refused);
        assert!(n_parsed > 100 && n_refused > 1000, "{n_parsed} parsed, {n_refused} refused");
    }
}
