//! The drawn survey, stock list and settings as input files.

use super::survey::{OracleMouth, OracleSettings, OracleSpecimen, OracleVessel, PlanShape};
use super::tables::{CLOSURES, FLUIDS, MATERIALS, NECKS};

pub fn vessels_file(vessels: &[OracleVessel]) -> String {
    let mut text = "vessel,form,inner_diameter_mm,inner_length_mm,inner_width_mm,inner_height_mm,body_height_mm,\
                    mouth_diameter_mm,mouth_length_mm,mouth_width_mm,neck_finish,capacity_ml,material,closure,on_hand,\
                    on_order,reserve,unit_price,order_limit,outer_height_mm\n"
        .to_owned();
    let shape = |shape: Option<PlanShape>| match shape {
        None => ",,".to_owned(),
        Some(PlanShape::Round(bore)) => format!("{bore},,"),
        Some(PlanShape::Oblong(length, width)) => format!(",{length},{width}"),
    };
    for vessel in vessels {
        let form = if matches!(vessel.section, PlanShape::Round(_)) { "cylinder" } else { "rectangular" };
        let (mouth, neck) = match vessel.mouth {
            OracleMouth::Full => (None, ""),
            OracleMouth::Measured(shape) => (Some(shape), ""),
            OracleMouth::Neck(neck) => (None, NECKS[neck].0),
        };
        let cells = [
            vessel.id.clone(),
            form.to_owned(),
            shape(Some(vessel.section)),
            vessel.inner_height.to_string(),
            cell(vessel.body_height),
            shape(mouth),
            neck.to_owned(),
            cell(vessel.capacity_ml),
            MATERIALS[vessel.material].id.to_owned(),
            CLOSURES[vessel.closure].id.to_owned(),
            vessel.on_hand.to_string(),
            vessel.on_order.to_string(),
            vessel.reserve.to_string(),
            cell(vessel.unit_price),
            cell(vessel.order_limit),
            cell(vessel.outer_height),
        ];
        text += &format!("{}\n", cells.join(","));
    }
    text
}

pub fn specimens_file(specimens: &[OracleSpecimen], vessels: &[OracleVessel]) -> String {
    let mut text =
        "catalogNumber,length_mm,width_mm,height_mm,outline,posture,individualCount,tissue_ml,mass_g,body_factor,\
                    fluid,keep_years,display,clearance_mm,max_vessels,max_outer_height_mm,section_give_pct,must_use,\
                    must_not_use,current_vessel,current_fluid,current_strength_pct,current_fluid_ml\n"
            .to_owned();
    let named = |those: &[usize]| those.iter().map(|i| vessels[*i].id.as_str()).collect::<Vec<_>>().join("|");
    for specimen in specimens {
        let cells = [
            specimen.number.clone(),
            specimen
                .size
                .map_or_else(|| ",,".to_owned(), |[length, width, height]| format!("{length},{width},{height}")),
            if specimen.rounded { "rounded" } else { "box" }.to_owned(),
            specimen.posture.to_owned(),
            specimen.individuals.to_string(),
            cell(specimen.tissue_ml),
            cell(specimen.mass_g),
            cell(specimen.body_factor),
            FLUIDS[specimen.fluid].id.to_owned(),
            cell(specimen.keep_years),
            specimen.display.to_owned(),
            cell(specimen.clearance),
            specimen.max_vessels.to_string(),
            cell(specimen.max_outer_height),
            specimen.give_pct.to_string(),
            named(&specimen.must_use),
            named(&specimen.must_not_use),
            cell(specimen.present.map(|i| &vessels[i].id)),
            cell(specimen.current_fluid.map(|i| FLUIDS[i].id)),
            cell(specimen.strength_pct),
            cell(specimen.current_ml),
        ];
        text += &format!("{}\n", cells.join(","));
    }
    text
}

pub fn settings_file(settings: &OracleSettings) -> String {
    let OracleSettings {
        keep_years,
        accept_unproven,
        leaning,
        turning,
        renewals,
        wall,
        mouth,
        cover,
        floor,
        coil_core,
        coil_core_least,
        ..
    } = settings;
    let store = if settings.controlled { "controlled" } else { "uncontrolled" };
    let mut text = format!(
        "keep_years = {keep_years}\naccept_unproven = {accept_unproven}\nstore = \"{store}\"\nleaning = {leaning}\nturning = {turning}\nrenewals = {renewals}\nbaths_in = \"{}\"\nreuse_fluid = \"{}\"\n[clearance]\n",
        if settings.baths_in_vessel { "vessel" } else { "tub" },
        if settings.reuse { "top-up" } else { "no" }
    );
    for (name, [pct, least, most]) in [("wall", wall), ("mouth", mouth), ("cover", cover)] {
        text += &format!("{name}_pct = {pct}\n{name}_min_mm = {least}\n{name}_max_mm = {most}\n");
    }
    text += &format!("floor_mm = {floor}\ncoil_core = {coil_core}\ncoil_core_least = {coil_core_least}\n");
    text += &format!(
        "[headspace]\nalcohol_controlled_pct = {}\nalcohol_uncontrolled_pct = {}\nsealed_pct = {}\naqueous_pct = {}\n\
         least_mm = {}\n",
        settings.controlled_pct,
        settings.uncontrolled_pct,
        settings.sealed_pct,
        settings.aqueous_pct,
        settings.headspace_least
    );
    text += &format!(
        "[tissue]\nshare_pct = {}\ndensity_g_ml = {}\nhigh_rounded = {}\nhigh_box = {}\nlow = {}\nexchange_pct = {}\n",
        settings.share_pct,
        settings.density,
        settings.high_rounded,
        settings.high_box,
        settings.low,
        settings.exchange_pct
    );
    text += &format!(
        "[fluid]\nweaker_pct = {}\ntub_ratio = {}\nloss_pct = {}\ntax_pct = {}\n",
        settings.weaker_pct, settings.tub_ratio, settings.loss_pct, settings.tax_pct
    );
    // No body here is large enough for a tank.
    text += "[tank]\nsmallest_side_mm = 10000\n";
    text
}

fn cell<T: ToString>(value: Option<T>) -> String {
    value.map_or_else(String::new, |value| value.to_string())
}
