//! The arguments that the program takes.
//!
//! In: nothing. Out: the types that `clap` fills.
//! Never: acts on one.

use std::path::PathBuf;

use clap::{Parser, Subcommand, ValueEnum};

/// A calculation notebook for bringing a fire panel's power supply back into service and proving it right.
///
/// It informs a competent person; local codes and licensed practice decide.
#[derive(Debug, Parser)]
#[command(name = "wattle", version)]
pub(super) struct Arguments {
    /// What is to be done.
    #[command(subcommand)]
    pub command: Option<Command>,
    /// A job to open.
    pub job: Option<PathBuf>,
    /// Who is typing.
    #[arg(long)]
    pub who: Option<String>,
    /// Go on where a piped line cannot be understood.
    #[arg(long)]
    pub carry_on: bool,
    /// The day to judge on, instead of the job's day and today.
    #[arg(long, global = true, value_name = "DATE")]
    pub on: Option<String>,
    /// A folder to look for sheets, bases and tables in, after the job's own.
    #[arg(long, global = true, value_name = "DIR")]
    pub library: Vec<PathBuf>,
}

/// What the program does.
#[derive(Debug, Subcommand)]
pub(super) enum Command {
    /// Judge jobs: exit 0 pass, 1 fail or unsure or unworkable, 3 waiting, 2 not readable
    Check {
        /// The jobs.
        #[arg(required = true)]
        jobs: Vec<PathBuf>,
        /// How it is written.
        #[arg(long, value_enum, default_value_t = Format::Text)]
        format: Format,
    },
    /// Say what differs between two jobs, or one job at two moments, and what turned each verdict
    Compare {
        /// The older: a job; JOB@2026-11-25T10:00 or JOB@line3 for what it was then.
        old: String,
        /// The newer.
        new: String,
        /// Write one JSON object.
        #[arg(long)]
        json: bool,
    },
    /// Look through a job line by line, for a reviewer: what was assumed, what changed, what its journal says
    Audit {
        /// The job.
        job: PathBuf,
        /// The journal's head as an earlier record printed it.
        #[arg(long, value_name = "HASH")]
        head: Option<String>,
        /// An earlier record, as .html, .md or .json: its head and the hash of every file are compared.
        #[arg(long, value_name = "FILE", conflicts_with = "head")]
        record: Option<PathBuf>,
        /// Only the verdict, what to look at first, and the record.
        #[arg(long)]
        brief: bool,
        /// Only the lines of one sheet, by its name in the job.
        #[arg(long, value_name = "NAME", conflicts_with = "brief")]
        sheet: Option<String>,
        /// Write one JSON object.
        #[arg(long)]
        json: bool,
    },
    /// Write a job as a page to print and sign; as Markdown, CSV or JSON by the ending of the file
    Report {
        /// The job.
        job: PathBuf,
        /// The file: .html, .md, .csv or .json; left out, the standard output. Only an earlier report is written over.
        #[arg(short, long, value_name = "FILE")]
        output: Option<PathBuf>,
        /// The form, where no file's ending says it.
        #[arg(long, value_enum)]
        format: Option<ReportFormat>,
        /// Write over the record of another state of the job.
        #[arg(long)]
        over: bool,
    },
    /// Check sheets, bases and tables and run their worked examples; alone, the built-in ones
    Proof {
        /// The files.
        files: Vec<PathBuf>,
    },
    /// Write a manual page, completions for shells, and the language for editors into a folder; over its own only
    Extras {
        /// The folder.
        folder: PathBuf,
    },
    /// List the sheets, bases and tables, or show one in its own text
    Sheets {
        /// The one to show.
        name: Option<String>,
    },
    /// List the words of the language: statements, details, functions, units
    Words,
    /// Write a new job with every given open; never over a file
    New {
        /// The job's file.
        job: PathBuf,
        /// The sheets it uses, in the order of the work; SHEET:NAME gives one a name, such as supply_path:as_left.
        #[arg(required = true)]
        sheets: Vec<String>,
        /// The basis: uk, au, nz, us, or the name of a .basis file beside the job.
        #[arg(long)]
        basis: Option<String>,
        /// The job's title.
        #[arg(long)]
        title: Option<String>,
    },
}

/// How a check is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(super) enum Format {
    /// For people.
    Text,
    /// One object a job; of many jobs, one line each.
    Json,
    /// A row a limit.
    Csv,
    /// A table.
    Markdown,
}

/// How a report is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(super) enum ReportFormat {
    /// A page for a browser or a printer.
    Html,
    /// Text with tables.
    Markdown,
    /// A row a line, a cell or a limit.
    Csv,
    /// One object.
    Json,
}
