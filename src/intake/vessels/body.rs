//! The inside of a vessel (section, height, shoulder and mouth), from the values in its rows.

use super::stated::{StatedValue, agree, length, stated};
use crate::diagnostics::{Code, Diagnostic};
use crate::intake::cells::quoted;
use crate::intake::columns::VesselColumn as Column;
use crate::intake::table::{At, InputTable, TableRow};
use crate::rules::NeckFinish;
use crate::stock::Section;
use crate::units::Length;

/// The form of a vessel's section.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Form {
    Cylinder,
    Rectangular,
}

/// The inner dimensions as stated.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct VesselBody {
    pub form: Option<StatedValue<Form>>,
    pub inner_height: Option<StatedValue<Length>>,
    diameter: Option<StatedValue<Length>>,
    length: Option<StatedValue<Length>>,
    width: Option<StatedValue<Length>>,
    body_height: Option<StatedValue<Length>>,
    mouth_diameter: Option<StatedValue<Length>>,
    mouth_length: Option<StatedValue<Length>>,
    mouth_width: Option<StatedValue<Length>>,
    /// Index into the table of neck finishes.
    finish: Option<StatedValue<usize>>,
}

/// The inside of a vessel after all checks.
#[derive(Clone, Copy, Debug)]
pub(super) struct Shape {
    pub section: Section,
    pub inner_height: Length,
    pub body_height: Length,
    pub mouth: Section,
    pub mouth_assumed: bool,
}

impl VesselBody {
    /// Reads one row. Columns whose cells cannot be read are added to `unread`.
    pub fn read(
        row: &mut TableRow<Column>,
        finish: Option<StatedValue<usize>>,
        unread: &mut Vec<Column>,
    ) -> VesselBody {
        let forms = [("cylinder", Form::Cylinder), ("rectangular", Form::Rectangular)];
        VesselBody {
            form: stated(row, Column::Form, unread, |row, column| row.word(column, &forms)),
            inner_height: length(row, Column::InnerHeight, unread),
            diameter: length(row, Column::InnerDiameter, unread),
            length: length(row, Column::InnerLength, unread),
            width: length(row, Column::InnerWidth, unread),
            body_height: length(row, Column::BodyHeight, unread),
            mouth_diameter: length(row, Column::MouthDiameter, unread),
            mouth_length: length(row, Column::MouthLength, unread),
            mouth_width: length(row, Column::MouthWidth, unread),
            finish,
        }
    }

    /// Adds the values of another row of the same vessel.
    pub fn agree(&mut self, row: &mut TableRow<Column>, other: VesselBody) {
        agree(row, Column::Form, &mut self.form, other.form);
        agree(row, Column::InnerHeight, &mut self.inner_height, other.inner_height);
        agree(row, Column::InnerDiameter, &mut self.diameter, other.diameter);
        agree(row, Column::InnerLength, &mut self.length, other.length);
        agree(row, Column::InnerWidth, &mut self.width, other.width);
        agree(row, Column::BodyHeight, &mut self.body_height, other.body_height);
        agree(row, Column::MouthDiameter, &mut self.mouth_diameter, other.mouth_diameter);
        agree(row, Column::MouthLength, &mut self.mouth_length, other.mouth_length);
        agree(row, Column::MouthWidth, &mut self.mouth_width, other.mouth_width);
        agree(row, Column::NeckFinish, &mut self.finish, other.finish);
    }

    /// Checks the inside as a whole. Blank required cells are reported elsewhere; cells in `unread` have been reported already.
    pub fn shape(
        &self,
        name: &str,
        at: At,
        table: &InputTable<Column>,
        finishes: &[NeckFinish],
        unread: &[Column],
        found: &mut Vec<Diagnostic>,
    ) -> Option<Shape> {
        let section = self.section(name, at, table, unread, found);
        let mouth = self.mouth(table, finishes, unread, found);
        if let (Some(body), Some(top)) = (&self.body_height, &self.inner_height)
            && !body.value.fits(top.value)
        {
            let message = format!("the shoulder at {} is above the inner height of {}", body.value, top.value);
            let error = Diagnostic::error(Code::ShoulderAboveTop, table.place(body.at), message);
            found.push(
                error.cure("both are measured from the inner floor; leave body_height blank if there is no shoulder"),
            );
        }
        let section = section?;
        if let Mouth::StatedValue(mouth, at) = mouth
            && !goes_into(mouth, section)
        {
            let message =
                format!("the mouth of {} is wider than the body: {} in {}", quoted(name), words(mouth), words(section));
            let error = Diagnostic::error(Code::MouthWiderThanBody, table.place(at), message);
            found.push(error.cure("measure the clear opening; leave the mouth blank if it is as wide as the body"));
        }
        let inner_height = self.inner_height?.value;
        let body_height = self.body_height.map_or(inner_height, |height| height.value.min(inner_height));
        Some(match mouth {
            Mouth::StatedValue(mouth, _) => Shape { section, inner_height, body_height, mouth, mouth_assumed: false },
            Mouth::Blank => Shape { section, inner_height, body_height, mouth: section, mouth_assumed: true },
        })
    }

    fn section(
        &self,
        name: &str,
        at: At,
        table: &InputTable<Column>,
        unread: &[Column],
        found: &mut Vec<Diagnostic>,
    ) -> Option<Section> {
        let form = self.form?;
        let (needed, foreign): (&[_], &[_]) = match form.value {
            Form::Cylinder => (
                &[(Column::InnerDiameter, self.diameter)],
                &[(Column::InnerLength, self.length), (Column::InnerWidth, self.width)],
            ),
            Form::Rectangular => (
                &[(Column::InnerLength, self.length), (Column::InnerWidth, self.width)],
                &[(Column::InnerDiameter, self.diameter)],
            ),
        };
        let kind = match form.value {
            Form::Cylinder => "a cylinder",
            Form::Rectangular => "a rectangular vessel",
        };
        for (column, stated) in foreign {
            if let Some(stated) = stated {
                let message = format!("{} is {kind}, which has no {}", quoted(name), table.header(*column));
                let error = Diagnostic::error(Code::FormMismatch, table.place(stated.at), message);
                found.push(error.cure("correct the form, or leave this cell blank"));
            }
        }
        for (column, stated) in needed {
            if stated.is_none() && !unread.contains(column) {
                let place = if table.has(*column) { at.in_column(table, *column) } else { form.at };
                let message = format!("{} is {kind} and needs {}", quoted(name), table.header(*column));
                let error = Diagnostic::error(Code::BlankCell, table.place(place), message);
                found.push(error.cure("measure inside, and fill it in on one row of the vessel"));
            }
        }
        match form.value {
            Form::Cylinder => Some(Section::Round(self.diameter?.value)),
            Form::Rectangular => Some(Section::Rectangular(self.length?.value, self.width?.value)),
        }
    }

    /// The mouth. A measured mouth takes precedence over the bore of the neck finish.
    fn mouth(
        &self,
        table: &InputTable<Column>,
        finishes: &[NeckFinish],
        unread: &[Column],
        found: &mut Vec<Diagnostic>,
    ) -> Mouth {
        let sides = (self.mouth_length, self.mouth_width);
        if let (Some(diameter), (Some(_), _) | (_, Some(_))) = (self.mouth_diameter, sides) {
            let message = "both a round and a rectangular mouth are given";
            let error = Diagnostic::error(Code::ContradictoryMouth, table.place(diameter.at), message);
            found.push(error.cure("give mouth_diameter_mm, or mouth_length_mm and mouth_width_mm"));
        }
        match (self.mouth_diameter, sides, self.finish) {
            (Some(diameter), ..) => Mouth::StatedValue(Section::Round(diameter.value), diameter.at),
            (None, (Some(length), Some(width)), _) => {
                Mouth::StatedValue(Section::Rectangular(length.value, width.value), length.at)
            }
            (None, (Some(_), None) | (None, Some(_)), _)
                if unread.contains(&Column::MouthLength) || unread.contains(&Column::MouthWidth) =>
            {
                Mouth::Blank
            }
            (None, (Some(one), None) | (None, Some(one)), _) => {
                let message = "a rectangular mouth has two sides, and one is blank";
                let error = Diagnostic::error(Code::IncompleteMouth, table.place(one.at), message);
                found.push(error.cure("give mouth_length_mm and mouth_width_mm, or neither"));
                Mouth::Blank
            }
            (None, (None, None), Some(finish)) => finishes
                .get(finish.value)
                .map_or(Mouth::Blank, |row| Mouth::StatedValue(Section::Round(row.bore), finish.at)),
            (None, (None, None), None) => Mouth::Blank,
        }
    }
}

/// The mouth as stated; blank means as wide as the body.
#[derive(Clone, Copy)]
enum Mouth {
    StatedValue(Section, At),
    Blank,
}

/// Whether a mouth is not wider than a body; touching is allowed.
fn goes_into(mouth: Section, body: Section) -> bool {
    match (mouth, body) {
        (Section::Round(mouth), body) => mouth.fits(body.smaller()),
        (Section::Rectangular(length, width), Section::Round(bore)) => {
            Length::at_least_zero(length.mm().hypot(width.mm())).fits(bore)
        }
        (mouth, body) => mouth.larger().fits(body.larger()) && mouth.smaller().fits(body.smaller()),
    }
}

fn words(section: Section) -> String {
    match section {
        Section::Round(diameter) => format!("{diameter} across"),
        Section::Rectangular(length, width) => format!("{length} × {width}"),
    }
}
