//! Tables for a terminal: numbers to the right, at most so many rows, and where the rest is.

use std::sync::atomic::{AtomicUsize, Ordering};

use tabled::builder::Builder;
use tabled::settings::object::Columns;
use tabled::settings::{Alignment, Modify, Padding, Style};

/// Rows of a table that a terminal shows.
pub const SHOWN_ROWS: usize = 30;

/// Rows of a long list that a terminal shows, and how many it leaves out: those are never put into words.
pub struct Shown {
    rows: Vec<Vec<String>>,
    more: usize,
}

impl Shown {
    /// The first of a list, in the cells that are made of each.
    pub fn of<T>(mut list: impl Iterator<Item = T>, cells: impl FnMut(T) -> Vec<String>) -> Self {
        let rows = list.by_ref().take(SHOWN_ROWS).map(cells).collect();
        Shown { rows, more: list.count() }
    }
}

/// A table under a title, indented by two; empty where it has no rows. `right` names the columns of numbers, `rest` says
/// where the rows are that are not shown.
pub fn table(title: &str, header: &[&str], rows: &[Vec<String>], right: &[usize], rest: &str) -> String {
    first_of(title, header, &Shown::of(rows.iter(), Clone::clone), right, rest)
}

/// The same of a long list.
pub fn first_of(title: &str, header: &[&str], shown: &Shown, right: &[usize], rest: &str) -> String {
    let mut text = in_full(title, header, &shown.rows, right);
    if shown.more > 0 {
        text.push_str(&format!("  … and {} more: {rest}\n", shown.more));
    }
    text
}

/// The same with every row. On a screen that is too narrow, words of text columns go onto further lines, and columns that can
/// be spared are left out and named under the table, where that is not enough the last ones; no word is ever broken.
pub fn in_full(title: &str, header: &[&str], rows: &[Vec<String>], right: &[usize]) -> String {
    if rows.is_empty() {
        return String::new();
    }
    let columns = (0..header.len()).map(|index| Column::of(header, rows, right, index)).collect();
    let (columns, left_out) = fitted(columns, screen().map_or(usize::MAX, |width| width - INDENT));
    let mut builder = Builder::default();
    let cell = |column: &Column, text: &str| filled(text, column.width);
    builder.push_record(columns.iter().map(|column| cell(column, header[column.index])));
    for row in rows {
        builder
            .push_record(columns.iter().map(|column| cell(column, row.get(column.index).map_or("", String::as_str))));
    }
    let mut table = builder.build();
    table.with(Style::blank()).with(Padding::new(0, PADDING, 0, 0));
    for (place, _) in columns.iter().enumerate().filter(|(_, column)| column.figures) {
        table.with(Modify::new(Columns::one(place)).with(Alignment::right()));
    }
    let mut text = format!("\n{title}\n");
    for line in table.to_string().lines() {
        text.push_str(format!("{:INDENT$}{line}", "").trim_end());
        text.push('\n');
    }
    if !left_out.is_empty() {
        let names: Vec<&str> = left_out.iter().map(|index| header[*index]).collect();
        text.push_str(&wrapped(&format!("(not shown on a screen this narrow: {})", names.join(", ")), INDENT));
    }
    text
}

/// Blanks before a table.
const INDENT: usize = 2;

/// Blanks between columns: the padding of a cell, and the one that stands between two.
const GAP: usize = PADDING + 1;

/// Blanks after a cell.
const PADDING: usize = 2;

/// Columns that a narrow screen goes without, those that go first first.
const SPARED: [&str; 27] = [
    "order code",
    "outcome",
    "mouth mm",
    "fillings",
    "wall mm",
    "years",
    "posture",
    "cover mm",
    "tissue %",
    "needed",
    "spare",
    "name",
    "class",
    "flash °C",
    "fluid, l",
    "full, kg",
    "walls / base / lid, mm",
    "note",
    "kept, l",
    "in baths, l",
    "lots",
    "per litre",
    "on the shelf, l",
    "needed, l",
    "present_only",
    "also_family",
    "renewal_years",
];

/// Columns whose cells stay on one line: three sizes, which are read together.
const WHOLE: [&str; 1] = ["clear inside, mm"];

/// A text column is not made narrower than this while another can be left out.
const READABLE: usize = 18;

/// How wide a column is, and how narrow it may be.
struct Column {
    index: usize,
    figures: bool,
    /// Characters of its longest line.
    width: usize,
    /// Characters of its longest word.
    word: usize,
    /// When it is left out: the lower, the sooner.
    spared: Option<usize>,
}

impl Column {
    fn of(header: &[&str], rows: &[Vec<String>], right: &[usize], index: usize) -> Self {
        let cells = || rows.iter().filter_map(|row| row.get(index)).map(String::as_str).chain([header[index]]);
        let longest = |lengths: &mut dyn Iterator<Item = usize>| lengths.max().unwrap_or(0);
        let width = longest(&mut cells().map(|cell| cell.chars().count()));
        let word = longest(&mut cells().flat_map(words).map(|(word, _)| word.chars().count()));
        Column {
            index,
            figures: right.contains(&index),
            width,
            word: if WHOLE.contains(&header[index]) { width } else { word },
            spared: SPARED.iter().position(|name| is_headed(header[index], name)),
        }
    }

    /// The narrowest it may be, `readable` while others can still go.
    fn least(&self, readable: bool) -> usize {
        let least = if readable && !self.figures { self.word.max(READABLE) } else { self.word };
        least.min(self.width)
    }
}

/// Whether a column is headed so, whatever the currency after it.
fn is_headed(head: &str, name: &str) -> bool {
    head == name || name == "per litre" && head.starts_with("per litre,")
}

/// The words of a text, and whether a blank stands before each; what a stroke stands between are words too.
fn words(text: &str) -> impl Iterator<Item = (&str, bool)> {
    text.split(' ').enumerate().flat_map(|(at, word)| {
        word.split_inclusive('|').enumerate().map(move |(part, word)| (word, at > 0 && part == 0))
    })
}

/// Columns made to fit so many characters, and the indices of those that were left out.
fn fitted(mut columns: Vec<Column>, most: usize) -> (Vec<Column>, Vec<usize>) {
    let mut left_out = Vec::new();
    loop {
        let gaps = GAP * columns.len().saturating_sub(1);
        let total = |columns: &[Column]| columns.iter().map(|column| column.width).sum::<usize>() + gaps;
        let goes = (0..columns.len()).filter(|&at| columns[at].spared.is_some()).min_by_key(|&at| columns[at].spared);
        let least: usize = columns.iter().map(|column| column.least(goes.is_some())).sum();
        let last = (columns.len() > 2).then(|| columns.len() - 1);
        if let (true, Some(at)) = (least + gaps > most, goes.or(last)) {
            left_out.push(columns.remove(at).index);
            continue;
        }
        // The widest is made narrower, again and again, as far as it may be.
        while total(&columns) > most {
            let wide = columns.iter_mut().filter(|column| column.width > column.least(goes.is_some()));
            let Some(widest) = wide.max_by_key(|column| column.width) else { break };
            widest.width -= 1;
        }
        left_out.sort_unstable();
        return (columns, left_out);
    }
}

/// A text in lines of so many characters, broken between words only.
fn filled(text: &str, width: usize) -> String {
    let mut lines = String::new();
    let mut used = 0;
    for (i, (word, blank)) in words(text).enumerate() {
        let long = word.chars().count();
        if i > 0 && used + usize::from(blank) + long > width {
            lines.push('\n');
            used = 0;
        } else if blank {
            lines.push(' ');
            used += 1;
        }
        lines.push_str(word);
        used += long;
    }
    lines
}

/// A whole text on the screen, if one is known: a sentence that is too long for a line goes on under itself.
pub fn to_screen(text: &str) -> String {
    let Some(width) = screen() else { return text.to_owned() };
    let mut lines = String::with_capacity(text.len());
    for line in text.split_inclusive('\n') {
        if line.trim_end().chars().count() <= width {
            lines.push_str(line);
            continue;
        }
        let own = line.chars().take_while(|c| *c == ' ').count();
        lines.push_str(&broken(line.trim(), own, own + INDENT));
    }
    lines
}

/// The head of a column of money.
pub fn in_currency(what: &str, currency: &str) -> String {
    if currency.is_empty() { what.to_owned() } else { format!("{what}, {currency}") }
}

/// Characters of a line of running text where nothing is known of the screen.
const LINE: usize = 110;

/// Characters of a line of the screen; 0 where it is none, or nothing is known of it.
static SCREEN: AtomicUsize = AtomicUsize::new(0);

/// Sets how many characters a line of the screen has, for the whole run. Without it tables are as wide as they need.
pub fn set_screen_width(characters: usize) {
    SCREEN.store(characters.max(NARROWEST), Ordering::Relaxed);
}

/// Nothing is made to fit less.
const NARROWEST: usize = 40;

/// Characters of a line of the screen, if that is known.
fn screen() -> Option<usize> {
    Some(SCREEN.load(Ordering::Relaxed)).filter(|width| *width > 0)
}

/// A sentence over as many lines as it needs, each indented by so many blanks.
pub fn wrapped(text: &str, indent: usize) -> String {
    broken(text, indent, indent)
}

/// The same with the first line not indented more than it says itself.
pub fn hanging(text: &str, indent: usize) -> String {
    let own = text.len() - text.trim_start().len();
    broken(text.trim_start(), own, indent)
}

fn broken(text: &str, first: usize, indent: usize) -> String {
    let most = screen().map_or(LINE, |width| width.min(LINE));
    let mut lines = String::new();
    let mut line = " ".repeat(first);
    for word in text.split(' ') {
        if line.chars().count() + 1 + word.chars().count() > most && !line.trim().is_empty() {
            lines.push_str(line.trim_end());
            lines.push('\n');
            line = " ".repeat(indent);
        }
        if !line.trim().is_empty() {
            line.push(' ');
        }
        line.push_str(word);
    }
    lines + line.trim_end() + "\n"
}
