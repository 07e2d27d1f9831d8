//! The command line as typed.

use std::ffi::OsString;
use std::path::PathBuf;

use clap::{Args, Parser, Subcommand, ValueEnum};
use dragback_study::{Counted, Hours};
use dragback_units::System;

/// Units of tables, CSV files and the window.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, ValueEnum)]
pub enum Units {
    /// Litres, degrees Celsius, grams per litre.
    #[default]
    Metric,
    /// US gallons, degrees Fahrenheit, ounces per gallon.
    Us,
}

impl From<Units> for System {
    fn from(units: Units) -> Self {
        match units {
            Units::Metric => Self::Metric,
            Units::Us => Self::Us,
        }
    }
}

/// How the hours of work are read where a line settles.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, ValueEnum)]
pub(crate) enum WorkHours {
    /// As the calendars say.
    #[default]
    Calendar,
    /// As if work never stopped.
    InShift,
    /// As if work always ran at its mean over the week.
    WeekMean,
}

impl From<WorkHours> for Hours {
    fn from(hours: WorkHours) -> Self {
        match hours {
            WorkHours::Calendar => Self::Calendar,
            WorkHours::InShift => Self::AlwaysOpen,
            WorkHours::WeekMean => Self::WeekMean,
        }
    }
}

/// As what strengths of lead solutes are told.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, ValueEnum)]
pub(crate) enum AsWhat {
    /// As the metal, or CrO3 of a chromium bath.
    #[default]
    Metal,
    /// As the salt of the recipe that brings most of it.
    Salt,
}

impl From<AsWhat> for Counted {
    fn from(as_what: AsWhat) -> Self {
        match as_what {
            AsWhat::Metal => Self::Metal,
            AsWhat::Salt => Self::Salt,
        }
    }
}

/// What the window shall open on.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct WindowRequest {
    /// A scenario file; `None` for the built-in demo.
    pub file: Option<PathBuf>,
    /// Where a test wants the window's figures written.
    pub report: Option<PathBuf>,
    /// Units to begin with; `None` for those that the window was last left with.
    pub units: Option<Units>,
}

const AFTER: &str = "\
Examples:
  dragback                                 the window, on the built-in demo line
  dragback my-line.ron                     the window, on a scenario of your own
  dragback settle my-line.ron              where the line settles
  dragback settle my-line.ron --set 'loop.holding_tank.set_point=58 °C'

Exit codes: 0 good, 1 ran but an alarm or limit was hit, 2 could not run.
Results are estimates; local codes and licensed practice decide.";

/// Simulates the closed rinse-water loop of an electroplating line.
#[derive(Debug, Parser)]
#[command(
    name = "dragback",
    version,
    about,
    after_help = AFTER,
    max_term_width = 80,
    override_usage = "dragback [FILE]\n       dragback COMMAND …"
)]
pub(crate) struct Cli {
    /// Scenario file to open in the window; the built-in demo when left out.
    #[arg(value_name = "FILE")]
    pub words: Vec<OsString>,

    /// Units of tables, CSV files and the window.
    #[arg(long, global = true, value_enum)]
    pub units: Option<Units>,

    /// Where the window writes the figures it shows, for tests.
    #[arg(long, hide = true, value_name = "F")]
    pub window_report: Option<PathBuf>,

    #[command(subcommand)]
    pub command: Option<Command>,
}

#[derive(Debug, Subcommand)]
pub(crate) enum Command {
    /// Reads a scenario and lists everything that is wrong with it.
    Check(CheckArgs),
    /// Runs a line in time from its start.
    Run(RunArgs),
    /// Finds the week that repeats itself: losses, recovery, heat.
    Settle(SettleArgs),
    /// Tabulates each evaporator against solution temperature and inlet air.
    Capacity(CapacityArgs),
    /// Works out drag-out from the rise measured in a rinse.
    Dragout(DragoutArgs),
    /// Tells whether a change pays: cost a year before and after, payback.
    Payback(PaybackArgs),
    /// Sizes rinses, evaporator, heat and tanks for a wanted final rinse.
    Size(SizeArgs),

    /// Writes a report to hand over: a web page, a PDF file, or its numbers.
    Report(Box<ReportArgs>),
    /// Sets figures and differing inputs of several lines side by side.
    Compare(CompareArgs),
}

/// The scenario of a command.
#[derive(Clone, Debug, Args)]
pub(crate) struct Input {
    /// Scenario file; `-` reads standard input.
    #[arg(value_name = "FILE")]
    pub file: OsString,

    /// Gives an input another value, by its path; may be repeated.
    #[arg(long = "set", value_name = "PATH=VALUE")]
    pub set: Vec<String>,
}

#[derive(Debug, Args)]
pub(crate) struct CheckArgs {
    #[command(flatten)]
    pub input: Input,

    /// Also lists the inputs; with WORD those whose path holds it.
    #[arg(long, value_name = "WORD", num_args = 0..=1, default_missing_value = "")]
    pub inputs: Option<String>,
}

#[derive(Debug, Args)]
pub(crate) struct RunArgs {
    #[command(flatten)]
    pub input: Input,

    /// How long: "90 d", "26 weeks", "1 year".
    #[arg(
        long = "for",
        value_name = "TIME",
        default_value = "90 d",
        allow_hyphen_values = true
    )]
    pub span: String,

    /// Locates every switch of pumps and heaters instead of averaging; slower.
    #[arg(long)]
    pub exact: bool,

    /// As what tables tell strengths of the lead metal.
    #[arg(long = "as", value_enum, default_value_t)]
    pub as_what: AsWhat,

    /// Writes everything over time as a table; `-` is standard output.
    #[arg(long, value_name = "F")]
    pub csv: Option<OsString>,

    /// Writes the answers as JSON; `-` is standard output.
    #[arg(long, value_name = "F")]
    pub json: Option<OsString>,
}

#[derive(Debug, Args)]
pub(crate) struct SettleArgs {
    #[command(flatten)]
    pub input: Input,

    /// Air that the line sees: a month such as "Jan", or the mean of the year.
    #[arg(
        long,
        value_name = "MONTH|mean",
        default_value = "mean",
        allow_hyphen_values = true
    )]
    pub air: String,

    /// How hours of work are read.
    #[arg(long, value_enum, default_value_t)]
    pub hours: WorkHours,

    /// As what tables tell strengths of the lead metal.
    #[arg(long = "as", value_enum, default_value_t)]
    pub as_what: AsWhat,

    /// Writes the answers as JSON; `-` is standard output.
    #[arg(long, value_name = "F")]
    pub json: Option<OsString>,
}

#[derive(Debug, Args)]
pub(crate) struct CapacityArgs {
    #[command(flatten)]
    pub input: Input,

    /// Writes the table; `-` is standard output.
    #[arg(long, value_name = "F")]
    pub csv: Option<OsString>,

    /// Writes the table as JSON; `-` is standard output.
    #[arg(long, value_name = "F")]
    pub json: Option<OsString>,

    /// One point: temperatures of solution and air, relative humidity.
    #[arg(
        long,
        value_name = "\"62 °C, 21 °C, 45 %\"",
        allow_hyphen_values = true
    )]
    pub at: Option<String>,
}

#[derive(Debug, Args)]
pub(crate) struct SizeArgs {
    #[command(flatten)]
    pub input: Input,

    /// Most of the lead species that the film on the work may hold: "20 mg/L"; the loop's own limit where left out.
    #[arg(long, value_name = "STRENGTH", allow_hyphen_values = true)]
    pub final_rinse: Option<String>,

    /// Key of the loop, where the scenario has several.
    #[arg(long = "loop", value_name = "KEY")]
    pub loop_key: Option<String>,

    /// Shows every layout, those that cannot work with their reasons.
    #[arg(long)]
    pub all: bool,

    /// Writes every layout as JSON; `-` is standard output.
    #[arg(long, value_name = "F")]
    pub json: Option<OsString>,
}

#[derive(Debug, Args)]
pub(crate) struct ReportArgs {
    #[command(flatten)]
    pub input: Input,

    /// Scenario file of the line as it is now, to tell what the change brings.
    #[arg(long, value_name = "BEFORE")]
    pub against: Option<OsString>,

    /// Where to: a file that ends in .html, .pdf, .csv or .json; may be given several times.
    #[arg(short = 'o', long = "output", value_name = "F", required = true)]
    pub output: Vec<OsString>,

    /// Folder into which each figure goes as an SVG file.
    #[arg(long, value_name = "FOLDER")]
    pub figures: Option<OsString>,

    /// What the film on the work is to keep in the table of sizes; the loop's own limit where left out.
    #[arg(long, value_name = "STRENGTH", allow_hyphen_values = true)]
    pub final_rinse: Option<String>,

    /// Sizes all layouts, not only those that differ in the number of rinses.
    #[arg(long)]
    pub all_layouts: bool,

    /// Time in which the money is to be back, for the break-even values.
    #[arg(
        long,
        value_name = "TIME",
        default_value = "2 years",
        allow_hyphen_values = true
    )]
    pub within: String,

    /// As what tables tell strengths of the lead metal.
    #[arg(long = "as", value_enum, default_value_t)]
    pub as_what: AsWhat,

    #[command(flatten)]
    pub head: HeadArgs,
}

/// The head of a report, in the place of what the scenario says.
#[derive(Debug, Args)]
pub(crate) struct HeadArgs {
    /// The shop, for the head of the report.
    #[arg(long, value_name = "TEXT")]
    pub shop: Option<String>,

    /// What the shop calls the line.
    #[arg(long, value_name = "TEXT")]
    pub line: Option<String>,

    /// Who answers for the report.
    #[arg(long, value_name = "TEXT")]
    pub author: Option<String>,

    /// Date of the report, as it is to be written.
    #[arg(long, value_name = "TEXT")]
    pub date: Option<String>,

    /// Revision of the report.
    #[arg(long, value_name = "TEXT")]
    pub revision: Option<String>,
}

#[derive(Debug, Args)]
pub(crate) struct CompareArgs {
    /// Scenario files; one of them may be `-`, standard input. One file alone is compared with the variants in it.
    #[arg(value_name = "FILE", required = true, num_args = 1..)]
    pub files: Vec<OsString>,

    /// Gives an input another value, in every line that has it.
    #[arg(long = "set", value_name = "PATH=VALUE")]
    pub set: Vec<String>,

    /// Writes the comparison as JSON; `-` is standard output.
    #[arg(long, value_name = "F")]
    pub json: Option<OsString>,
}

#[derive(Debug, Args)]
pub(crate) struct PaybackArgs {
    /// Scenario file of the line as it is.
    #[arg(value_name = "BEFORE")]
    pub before: OsString,

    /// Scenario file of the line as it is to be; its prices count for both.
    #[arg(value_name = "AFTER")]
    pub after: OsString,

    /// Gives an input another value, in both lines where both have it.
    #[arg(long = "set", value_name = "PATH=VALUE")]
    pub set: Vec<String>,

    /// Time in which the money is to be back, for the break-even values.
    #[arg(
        long,
        value_name = "TIME",
        default_value = "2 years",
        allow_hyphen_values = true
    )]
    pub within: String,

    /// Writes the answer as JSON; `-` is standard output.
    #[arg(long, value_name = "F")]
    pub json: Option<OsString>,
}

#[derive(Debug, Args)]
#[command(
    override_usage = "dragback dragout [OPTIONS] --tank <VOLUME> --rise <STRENGTH>\n                        --bath <STRENGTH> --loads <NUMBER>"
)]
pub(crate) struct DragoutArgs {
    /// Liquid in the rinse tank.
    #[arg(long, allow_hyphen_values = true, value_name = "VOLUME")]
    pub tank: String,

    /// Rise of the concentration over the loads.
    #[arg(long, allow_hyphen_values = true, value_name = "STRENGTH")]
    pub rise: String,

    /// Concentration of the bath, of the same substance.
    #[arg(long, allow_hyphen_values = true, value_name = "STRENGTH")]
    pub bath: String,

    /// Racks, barrels or baskets rinsed meanwhile.
    #[arg(long, allow_hyphen_values = true, value_name = "NUMBER")]
    pub loads: String,

    /// Area of one load, to get the film as well.
    #[arg(long, allow_hyphen_values = true, value_name = "AREA")]
    pub area: Option<String>,

    /// Concentration in the rinse before the first load.
    #[arg(
        long,
        allow_hyphen_values = true,
        value_name = "STRENGTH",
        default_value = "0 g/L"
    )]
    pub start: String,

    /// How far off the tank volume may be.
    #[arg(
        long,
        allow_hyphen_values = true,
        value_name = "SHARE",
        default_value = "5 %"
    )]
    pub tank_within: String,

    /// How far off the rise may be.
    #[arg(
        long,
        allow_hyphen_values = true,
        value_name = "SHARE",
        default_value = "5 %"
    )]
    pub rise_within: String,

    /// How far off the bath's analysis may be.
    #[arg(
        long,
        allow_hyphen_values = true,
        value_name = "SHARE",
        default_value = "3 %"
    )]
    pub bath_within: String,

    /// How far off the count of loads may be.
    #[arg(
        long,
        allow_hyphen_values = true,
        value_name = "SHARE",
        default_value = "0 %"
    )]
    pub loads_within: String,
}
