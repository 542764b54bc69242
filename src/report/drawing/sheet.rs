//! A stock sheet of glass with the panes that are cut from it.

use super::{Anchor, Drawing, scale_below};
use crate::plan::SheetLayout;
use crate::project::Project;
use crate::report::html::page::{Markup, mm};
use crate::units::truncated_count;
use crate::words::tank as words;

/// Width of the drawing on paper, mm.
const WIDE: f64 = 150.0;

/// Smallest width and height on paper, mm, of a pane with its name written in.
const NAMED: [f64; 2] = [17.0, 3.6];

/// The layout of one sheet. A pane too small for its name has only its number in the table below.
pub fn layout(project: &Project, sheet: &SheetLayout) -> Markup {
    let [length, width] = [sheet.length, sheet.width].map(|side| side.mm().max(1.0));
    let (scale, words) = scale_below(((WIDE - 12.0) / length).min(100.0 / width));
    let (wide, high) = (length * scale, width * scale);
    let title = format!("Sheet of {} glass, {} × {} mm, {words}", sheet.thickness, mm(sheet.length), mm(sheet.width));
    let description = format!("{} panes, each by its number in the table below", sheet.panes.len());
    let mut drawing = Drawing::new(WIDE, high + 10.0, &title, &description);
    let top = 6.0;
    drawing.rect("wall", [1.0, top], [wide, high]);
    drawing.across([1.0, 1.0 + wide], 4.0, &mm(sheet.length));
    drawing.upright([top, top + high], wide + 3.0, &mm(sheet.width));
    for (i, pane) in sheet.panes.iter().enumerate() {
        let [x, y] = [1.0 + pane.x.mm() * scale, top + high - (pane.y + pane.width).mm() * scale];
        let size = [pane.length, pane.width].map(|side| side.mm() * scale);
        drawing.rect("pane", [x, y], size);
        let number = (i + 1).to_string();
        let middle = [x + size[0] / 2.0, y + size[1] / 2.0 + 0.9];
        if size[0] >= NAMED[0] && size[1] >= NAMED[1] {
            let whose = &project.collection.specimens[pane.specimen].key.catalog_number;
            let room = truncated_count(size[0] / 1.4);
            let words = format!("{number}  {whose} {}", words::pane(pane.pane));
            let words = if words.chars().count() > room { number } else { words };
            drawing.text(middle, Anchor::Middle, &words);
        } else {
            // Even if it overlaps the edge: without its number a pane cannot be found in the table.
            drawing.text(middle, Anchor::Middle, &number);
        }
    }
    drawing.markup()
}
