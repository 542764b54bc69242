//! Columns of `labels.csv`: labels that go inside the vessels.

use crate::collection::Specimen;
use crate::plan::Placement;
use crate::project::Project;
use crate::report::table::{Cell, Column, Field, Unit};
use crate::rules::Fluid;

/// A label: one for each jar.
#[derive(Clone, Copy)]
pub struct Label<'a> {
    pub project: &'a Project,
    pub specimen: &'a Specimen,
    pub placement: &'a Placement,
    /// Day of the work, counted from 1.
    pub day: usize,
    /// Number of the jar among those of the lot, counted from 1.
    pub jar: u32,
}

/// Number of jars that a lot is divided over.
pub fn jars(placement: &Placement) -> u32 {
    placement.fit.map_or(1, |fit| fit.pieces)
}

/// Whether a label stands upright in the vessel of a placement; in a tank it always does.
pub fn stands(project: &Project, placement: &Placement) -> bool {
    let [wide, high] = [project.settings.label_width, project.settings.label_height];
    placement.vessel.is_none_or(|id| project.stock.vessel(id).label_stands(wide, high))
}

type LabelField<'a> = Field<'a, Label<'a>>;

impl<'a> Label<'a> {
    /// Columns of `labels.csv`, after the key columns and before the carried ones.
    pub const FILE: [LabelField<'a>; 13] = [
        Field::new(Column::text("scientificName"), |label| (&label.specimen.name).into()),
        Field::new(Column::whole("individualCount"), |label| label.specimen.individuals.into()),
        Field::new(Column::text("typeStatus"), |label| (&label.specimen.particulars.type_status).into()),
        Field::new(Column::text("eventID"), |label| (&label.specimen.particulars.event).into()),
        Field::new(Column::whole("day"), |label| label.day.into()),
        Field::new(Column::text("vessel"), |label| match label.placement.vessel {
            Some(id) => (&label.project.stock.vessel(id).id).into(),
            None => "tank".into(),
        }),
        Field::new(Column::whole("jar"), |label| label.jar.into()),
        Field::new(Column::whole("jars"), |label| jars(label.placement).into()),
        Field::new(Column::text("fluid"), |label| (&label.fluid().id).into()),
        Field::new(Column::decimal("strength_pct", 1, Unit::Percent), |label| label.fluid().strength_pct.into()),
        // To be written in by hand.
        Field::new(Column::text("date_filled"), |_| Cell::Blank),
        Field::new(Column::yes_no("stands"), |label| stands(label.project, label.placement).into()),
        Field::new(Column::text("disposition"), |label| (&label.specimen.particulars.disposition).into()),
    ];

    fn fluid(self) -> &'a Fluid {
        self.project.rules.fluid(self.specimen.fluid)
    }
}
