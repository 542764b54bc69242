//! Panes nested onto stock sheets by cuts that run from edge to edge, as glass is scored and broken.
//!
//! A heuristic: panes are placed one by one in several orders, with several rules for the place and for splitting the room that is
//! left, and the layout with the least area of sheets is taken (after J. Jylänki, A Thousand Ways to Pack the Bin, 2010, section 3:
//! guillotine, with the least short side, the least long side or the first place; from memory). It estimates how much glass to
//! order; it does not claim to be the least. On 28 published instances it takes 251 sheets where the published least without
//! edge-to-edge cuts is 248 (`tests/it/tank_sheets_published.rs`).

use crate::units::Length;

/// A sheet with the panes that are cut from it.
#[derive(Clone, Debug, PartialEq)]
pub struct GlassSheet {
    /// Its longer side, along x.
    pub length: Length,
    /// Its shorter side, along y.
    pub width: Length,
    /// The panes that are cut from it.
    pub placed: Vec<PlacedPane>,
}

/// A pane on a sheet.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PlacedPane {
    /// Index of the pane among those asked for.
    pub pane: usize,
    /// Distance from the left edge of the sheet.
    pub x: Length,
    /// Distance from its lower edge.
    pub y: Length,
    /// Side along x.
    pub length: Length,
    /// Side along y.
    pub width: Length,
}

/// A free part of a sheet.
#[derive(Clone, Copy)]
struct Room {
    sheet: usize,
    x: Length,
    y: Length,
    length: Length,
    width: Length,
}

/// One variant of the heuristic: the order of panes, which sheet is opened, which place is taken and how its room is split.
#[derive(Clone, Copy)]
struct NestingRule {
    by: fn(Length, Length) -> f64,
    largest_sheet: bool,
    /// The waste of a place, from what it leaves along x and along y; the place with the least is taken.
    waste: fn(f64, f64) -> f64,
    split_across: fn(Room, Length, Length) -> bool,
}

/// With more panes than this, only one variant is tried.
const MANY: usize = 500;

/// Nests panes of one thickness, given as their two sides, onto sheets of the given sizes with `kerf` lost at each cut.
/// `None` where a pane is larger than every sheet.
pub fn nest(panes: &[(Length, Length)], sheets: &[(Length, Length)], kerf: Length) -> Option<Vec<GlassSheet>> {
    let area = |sheets: &[GlassSheet]| sheets.iter().map(|sheet| sheet.length.mm() * sheet.width.mm()).sum::<f64>();
    let mut best: Option<Vec<GlassSheet>> = None;
    let tried = if panes.len() > MANY { 1 } else { usize::MAX };
    for way in ways().take(tried) {
        let nested = nested(panes, sheets, kerf, way)?;
        let better = |best: &Vec<GlassSheet>| (area(&nested), nested.len()) < (area(best) - 1e-6, usize::MAX);
        if best.as_ref().is_none_or(better) {
            best = Some(nested);
        }
    }
    best
}

fn ways() -> impl Iterator<Item = NestingRule> {
    let orders: [fn(Length, Length) -> f64; 4] = [
        |one, other| one.mm() * other.mm(),
        |one, other| one.max(other).mm(),
        |one, other| one.min(other).mm(),
        |one, other| (one + other).mm(),
    ];
    let splits: [fn(Room, Length, Length) -> bool; 4] = [
        |room, length, width| room.length.less(length) < room.width.less(width),
        |room, length, width| room.length.less(length) >= room.width.less(width),
        |_, _, _| true,
        |_, _, _| false,
    ];
    // The last takes the first place that fits, the longer side along the longer.
    let wastes: [fn(f64, f64) -> f64; 3] = [f64::min, f64::max, |_, _| 0.0];
    let rules = wastes.into_iter().flat_map(move |waste| orders.map(|by| (waste, by)));
    rules.flat_map(move |(waste, by)| {
        splits.into_iter().flat_map(move |split_across| {
            [true, false].map(|largest_sheet| NestingRule { by, largest_sheet, waste, split_across })
        })
    })
}

fn nested(
    panes: &[(Length, Length)],
    sizes: &[(Length, Length)],
    kerf: Length,
    way: NestingRule,
) -> Option<Vec<GlassSheet>> {
    let mut order: Vec<usize> = (0..panes.len()).collect();
    let measure = |pane: usize| (way.by)(panes[pane].0, panes[pane].1);
    order.sort_by(|&a, &b| measure(b).total_cmp(&measure(a)).then(a.cmp(&b)));
    let mut sizes = sizes.to_vec();
    sizes.sort_by(|a, b| (a.0.mm() * a.1.mm()).total_cmp(&(b.0.mm() * b.1.mm())));
    if way.largest_sheet {
        sizes.reverse();
    }
    // A room that even the narrowest pane does not fit is waste.
    let narrowest = panes.iter().map(|(one, other)| one.min(*other)).reduce(Length::min).unwrap_or(Length::ZERO);
    let useful = |room: &Room| narrowest.fits(room.length) && narrowest.fits(room.width);
    let (mut sheets, mut rooms): (Vec<GlassSheet>, Vec<Room>) = (Vec::new(), Vec::new());
    for pane in order {
        let (long, short) = (panes[pane].0.max(panes[pane].1), panes[pane].0.min(panes[pane].1));
        let turned = [(long, short), (short, long)];
        let fits = |room: &Room, (length, width): (Length, Length)| length.fits(room.length) && width.fits(room.width);
        let waste = |room: &Room, (length, width): (Length, Length)| {
            (way.waste)(room.length.less(length).mm(), room.width.less(width).mm())
        };
        let candidates = |rooms: &[Room]| {
            // Tested first, because nearly all rooms are too small either way.
            let large_enough = rooms
                .iter()
                .enumerate()
                .filter(|(_, room)| short.fits(room.length.min(room.width)) && long.fits(room.length.max(room.width)));
            let pairs = large_enough.flat_map(|(i, room)| turned.map(|sides| (i, *room, sides)));
            let fitting = pairs.filter(|(_, room, sides)| fits(room, *sides));
            fitting.min_by(|a, b| waste(&a.1, a.2).total_cmp(&waste(&b.1, b.2))).map(|(i, _, sides)| (i, sides))
        };
        let (chosen, (length, width)) = match candidates(&rooms) {
            Some(found) => found,
            None => {
                let whole = |(length, width): &(Length, Length)| Room {
                    sheet: sheets.len(),
                    x: Length::ZERO,
                    y: Length::ZERO,
                    length: *length,
                    width: *width,
                };
                let room = sizes.iter().map(whole).find(|room| turned.iter().any(|sides| fits(room, *sides)))?;
                sheets.push(GlassSheet { length: room.length, width: room.width, placed: Vec::new() });
                rooms.push(room);
                candidates(&rooms)?
            }
        };
        let room = rooms.swap_remove(chosen);
        sheets[room.sheet].placed.push(PlacedPane { pane, x: room.x, y: room.y, length, width });
        rooms.extend(split(room, length, width, kerf, (way.split_across)(room, length, width)).filter(useful));
    }
    Some(sheets)
}

/// The rooms left beside and above a pane in the corner of a room. `across`: the first cut runs along x.
fn split(room: Room, length: Length, width: Length, kerf: Length, across: bool) -> impl Iterator<Item = Room> {
    let (beside, above) = (room.length.less(length + kerf), room.width.less(width + kerf));
    let right =
        Room { x: room.x + length + kerf, length: beside, width: if across { width } else { room.width }, ..room };
    let top =
        Room { y: room.y + width + kerf, length: if across { room.length } else { length }, width: above, ..room };
    [right, top].into_iter()
}
