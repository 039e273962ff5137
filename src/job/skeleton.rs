//! The text of a new job: every given listed as open.
//!
//! In: the sheets and their lines, in words. Out: a text to be filled in by hand or at the prompt.
//! Never: writes a default as a value: it would count as confirmed.

/// A sheet of a new job.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct SkeletonSheet {
    /// The sheet's own name.
    pub sheet: String,
    /// Its name in the job.
    pub name: String,
    /// Its title.
    pub title: String,
    /// Its givens.
    pub lines: Vec<SkeletonLine>,
    /// Figures that the basis leaves open.
    pub figures: Vec<SkeletonLine>,
    /// Its schedules.
    pub schedules: Vec<SkeletonSchedule>,
}

/// A given of a new job.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct SkeletonLine {
    /// The name.
    pub name: String,
    /// The label.
    pub label: String,
    /// The unit, or the kind of value.
    pub unit: String,
    /// The plausible range or the choices, in words; may be empty.
    pub range: String,
    /// The default, in words; may be empty.
    pub default: String,
    /// When it is needed, in words; may be empty.
    pub when: String,
}

/// A schedule of a new job.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct SkeletonSchedule {
    /// The name.
    pub name: String,
    /// The label.
    pub label: String,
    /// Its columns.
    pub columns: Vec<SkeletonLine>,
}

/// Returns the text of a new job.
pub fn text(title: &str, basis: &str, on: &str, sheets: &[SkeletonSheet]) -> String {
    let mut out = format!(
        "# Every \"?\" is open: write the value in its place, with its unit.\n\
         # A default counts only once somebody has written it here.\n\
         title = \"{title}\"\non = {on}\nbasis = \"{basis}\"\nprepared_by = \"\"\n"
    );
    for sheet in sheets {
        out +=
            &format!("\n# {}\n[[sheet]]\nuse = \"{}\"\nas = \"{}\"\n", sheet.title, sheet.sheet, sheet.name);
        for line in &sheet.lines {
            out += &format!("given.{} = \"?\"   # {}\n", line.name, remark(line));
        }
        for line in &sheet.figures {
            out += &format!("# The basis leaves this open: {}\n", remark(line));
            out += &format!("# take.{} = {{ value = \"\", by = \"document and clause\" }}\n", line.name);
        }
        for schedule in &sheet.schedules {
            out += &format!("# {}: rows here, or the name of a CSV file\n", schedule.label);
            for column in &schedule.columns {
                out += &format!("#   {}: {}\n", column.name, remark(column));
            }
            out += &format!("schedule.{} = []\n", schedule.name);
        }
    }
    out
}

fn remark(line: &SkeletonLine) -> String {
    let mut parts = vec![line.label.clone()];
    if !line.unit.is_empty() {
        parts.push(line.unit.clone());
    }
    if !line.range.is_empty() {
        parts.push(line.range.clone());
    }
    if !line.default.is_empty() {
        parts.push(format!("usually {}", line.default));
    }
    if !line.when.is_empty() {
        parts.push(format!("only when {}", line.when));
    }
    parts.join("; ")
}
