//! Tanks made to measure, front, side and plan with their measures, and the sheets their panes are cut from.

use super::Drawing;
use crate::plan::{SheetLayout, Tank};
use crate::project::Project;
use crate::units::decimal;

/// Pixels that the longest side of a tank takes.
const LONGEST: f64 = 230.0;

/// A tank from the front, the side and above; dashed: the clear inside; the line is the fluid.
pub fn tank(project: &Project, tank: &Tank) -> String {
    let clear = [tank.length, tank.width, tank.height].map(|side| side.mm());
    let outer = tank.design.as_ref().map_or(clear, |design| design.outer.map(|side| side.mm()));
    let [length, width, height] = outer;
    let scale = LONGEST / length.max(width).max(height).max(1.0);
    let wall = (length - clear[0]) / 2.0 * scale;
    let base = tank.design.as_ref().map_or(0.0, |design| design.base.mm()) * scale;
    let [l, w, h] = [length, width, height].map(|side| side * scale);
    let gap = 58.0;
    let key = &project.collection.specimens[tank.specimen].key;
    let mut drawing = Drawing::new(l + w + 2.0 * gap + 20.0, h + w + 2.0 * gap);
    let freeboard = project.settings.tank_freeboard.mm();
    let filled = (clear[2] - freeboard).max(0.0) * scale;
    let (left, top) = (14.0, 18.0);
    let floor = top + h;
    for (x, wide, inside) in [(left, l, clear[0]), (left + l + gap, w, clear[1])] {
        let inner = inside * scale;
        drawing.rectangle("fluid", [x + wall, floor - base - filled, inner, filled]);
        drawing.rectangle("glass", [x, top, wide, h]);
        drawing.rectangle("mouth", [x + wall, floor - base - clear[2] * scale, inner, clear[2] * scale]);
        drawing.path("level", &[(x + wall, floor - base - filled), (x + wall + inner, floor - base - filled)], false);
        drawing.measure((x, floor + 16.0), (x + wide, floor + 16.0), &format!("{} mm", decimal(wide / scale, 1)));
    }
    let side = left + l + gap + w + 10.0;
    drawing.measure((side, top), (side, floor), &decimal(height, 1));
    let plan = floor + gap - 18.0;
    drawing.rectangle("glass", [left, plan, l, w]);
    drawing.rectangle("mouth", [left + wall, plan + wall, l - 2.0 * wall, w - 2.0 * wall]);
    drawing.measure((left + l + 10.0, plan), (left + l + 10.0, plan + w), &decimal(width, 1));
    let description = format!(
        "Outside {} × {} × {} mm, clear inside {} × {} × {} mm, filled to {} mm below the rim.",
        decimal(length, 1),
        decimal(width, 1),
        decimal(height, 1),
        decimal(clear[0], 1),
        decimal(clear[1], 1),
        decimal(clear[2], 1),
        decimal(freeboard, 1)
    );
    drawing.svg(&format!("Tank for {key}"), &description)
}

/// A stock sheet with its panes, each named.
pub fn sheet(project: &Project, number: usize, sheet: &SheetLayout) -> String {
    let scale = 640.0 / sheet.length.mm().max(1.0);
    let (width, height) = (sheet.length.mm() * scale, sheet.width.mm() * scale);
    let mut drawing = Drawing::new(width + 4.0, height + 4.0);
    drawing.rectangle("waste", [2.0, 2.0, width, height]);
    for pane in &sheet.panes {
        let [x, y, along, up] = [pane.x, pane.y, pane.length, pane.width].map(|side| side.mm() * scale);
        let top = height - y - up;
        drawing.rectangle("pane", [2.0 + x, 2.0 + top, along, up]);
        let key = &project.collection.specimens[pane.specimen].key.catalog_number;
        let size = format!("{} × {}", decimal(pane.length.mm(), 1), decimal(pane.width.mm(), 1));
        let (middle, line) = (2.0 + x + along / 2.0, 2.0 + top + up / 2.0);
        if along > 78.0 && up > 24.0 {
            drawing.text("panet", (middle, line - 3.0), "middle", &format!("{key} {}", pane.pane));
            drawing.text("panet", (middle, line + 8.0), "middle", &size);
        } else if along > 40.0 && up > 10.0 {
            drawing.text("panet", (middle, line + 3.0), "middle", key);
        }
    }
    let description = format!(
        "{} × {} mm of {} mm glass, {} panes; what is left is hatched.",
        decimal(sheet.length.mm(), 1),
        decimal(sheet.width.mm(), 1),
        decimal(sheet.thickness.mm(), 1),
        sheet.panes.len()
    );
    drawing.svg(&format!("Sheet {number}"), &description)
}
