//! Wrong sharing of tank sizes. Three tanks: 0 and 1 have the size that 1 needs, 2 has its own.

use rehouse::collection::Posture;
use rehouse::options::tank::TankPriceBasis;
use rehouse::plan::{DefaultPrice, Warning};
use rehouse::project::Project;
use rehouse::tank::cost::TankPrice;
use rehouse::units::{Length, Millilitres, Money};

use super::scenes::project;
use super::{Wrong, particulars};

pub fn shared_sizes() -> Project {
    project(&[
        (
            "specimens.csv",
            "catalogNumber,length_mm,width_mm,height_mm,tissue_ml,fluid,posture\n\
             S-01,300,90,120,800,formalin-10,as-set\nS-02,300,90,130,800,nbf-10,as-set\nS-03,500,200,220,9000,nbf-10,as-set\n",
        ),
        (
            "vessels.csv",
            "vessel,form,inner_diameter_mm,inner_height_mm,material,closure,on_hand\n\
             JAR-50,cylinder,50,90,borosilicate,pp-cap-ptfe,2\n",
        ),
        ("settings.toml", "litre_weight = 0.1\n[tank]\nshare_sizes = true\n"),
    ])
}

/// The smallest amount of money that a file shows.
const PLACE: Money = Money::from_parts(Money::PER_UNIT / 10_000);

pub const SHARED_SIZES: &[Wrong] = &[
    ("sharing that nobody switched on", "tanks[0].price_basis", |project, _| project.settings.share_sizes = false),
    ("sizes that are not close", "tanks[0]: size", |project, _| {
        project.settings.share_within = Length::at_least_zero(9.0);
    }),
    ("sharing that saves nothing", "tanks[0].cost", |project, _| {
        project.settings.glass_set_up_again = Money::whole(60);
    }),
    ("sharing that its fluid makes dearer", "tanks[0].cost", |project, _| {
        project.settings.litre_weight = Money::whole(100);
    }),
    ("more saved than was", "totals.saved_by_sharing", |_, p| p.totals.saved_by_sharing += PLACE),
    ("nothing said to be saved", "totals.saved_by_sharing", |_, p| p.totals.saved_by_sharing = Money::ZERO),
    ("the money that was decided passed over", "levels[4].value", |_, p| {
        p.levels[4].value -= p.totals.saved_by_sharing.parts();
        p.levels[4].bound = p.levels[4].value;
    }),
    ("the fluid that was decided passed over", "levels[5].value", |_, p| {
        p.levels[5].value = p.totals.litres.0;
        p.levels[5].bound = p.levels[5].value;
    }),
    ("a tank smaller than its body needs", "tanks[1].height_mm", |_, p| {
        p.tanks[1].height = Length::at_least_zero(160.0);
    }),
    ("a tank larger than what is shared", "tanks[0].length_mm", |_, p| {
        p.tanks[0].length = Length::at_least_zero(350.0);
    }),
    ("one that shares said not to", "tanks[0].price_basis", |_, p| p.tanks[0].price_basis = TankPriceBasis::Estimate),
    ("one by itself said to share", "tanks[2].price_basis", |_, p| {
        p.tanks[2].price_basis = TankPriceBasis::SharedEstimate
    }),
    ("none said to share", "tanks[0].height_mm", |_, p| {
        p.tanks.iter_mut().for_each(|tank| tank.price_basis = TankPriceBasis::Estimate);
    }),
    ("the size set up for nothing", "tanks[0].cost", |_, p| p.tanks[0].cost = p.tanks[1].cost),
    ("the fluid of its own size", "placements[0].fluid_ml", |_, p| {
        p.placements[0].fluid = p.placements[0].fluid.map(|fluid| fluid - Millilitres(442));
    }),
    ("a row that must not stand so high", "tanks[0]", |project, _| {
        particulars(project, 0).max_outer_height = Length::new(175.0);
    }),
    ("another posture", "tanks[0].posture", |project, _| {
        project.collection.specimens[0].posture = Posture::Upright;
    }),
    ("no word on sharing", "warnings", |_, p| p.warnings.retain(|one| !matches!(one, Warning::SharedSizes { .. }))),
    ("the price of a further set-up passed over", "prices_not_yours", |_, p| {
        for price in &mut p.prices_not_yours {
            if let DefaultPrice::Tank(prices) = price {
                prices.retain(|price| *price != TankPrice::SetUpAgain);
            }
        }
    }),
    ("fewer tanks said to share", "warnings", |_, p| {
        for one in &mut p.warnings {
            if let Warning::SharedSizes { tanks, .. } = one {
                *tanks -= 1;
            }
        }
    }),
];
