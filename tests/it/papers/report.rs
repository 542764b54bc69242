//! `report.html` agrees with the plan.

use rehouse::options::ShortfallUnit;
use rehouse::plan::{Outcome, Plan};
use rehouse::units::{Millilitres, Money};
use rehouse::words::{self, caution, warning};

use super::{ProjectFiles, demo, paper, planned};

/// Text between two markers.
fn between<'a>(text: &'a str, from: &str, to: &str) -> &'a str {
    let start = text.find(from).unwrap_or_else(|| panic!("no {from}")) + from.len();
    &text[start..start + text[start..].find(to).unwrap_or_else(|| panic!("no {to} after {from}"))]
}

/// A section by its name.
fn section<'a>(report: &'a str, id: &str) -> &'a str {
    between(report, &format!("<section id=\"{id}\">"), "</section>")
}

/// The cells of the rows in some markup.
fn rows(markup: &str) -> Vec<Vec<String>> {
    let row = |row: &str| {
        let row = row.split("</tr>").next().unwrap_or_default();
        let cells = row.split("<t").skip(1).filter(|cell| cell.starts_with('h') || cell.starts_with('d'));
        cells.map(|cell| plain(cell.split_once('>').map_or("", |(_, cell)| cell))).collect()
    };
    markup.split("<tr>").skip(1).map(row).collect()
}

/// Text without its tags.
fn plain(markup: &str) -> String {
    let mut text = String::new();
    let mut inside = false;
    for c in markup.chars() {
        match c {
            '<' => inside = true,
            '>' => inside = false,
            c if !inside => text.push(c),
            _ => {}
        }
    }
    text
}

/// Hundredths of the currency.
fn money(cell: &str) -> i64 {
    let parsed = Money::parse(cell).unwrap_or_else(|| panic!("{cell:?} is no money"));
    parsed.parts() / (Money::PER_UNIT / 100)
}

fn cell(rows: &[Vec<String>], name: &str, column: usize) -> String {
    let row = rows.iter().find(|row| row.first().is_some_and(|first| first == name));
    row.unwrap_or_else(|| panic!("no row {name}"))[column].clone()
}

#[test]
fn the_opening_has_the_counts_the_money_and_the_litres_of_the_plan() {
    let (_, plan, report) = paper(&demo(), "report.html");
    let counts = between(&report, "<dl class=\"counts\">", "</dl>");
    let count = |what: &str| between(counts, &format!("<dt>{what}</dt><dd>"), "</dd>").to_owned();
    let totals = &plan.totals;
    for (what, n) in [
        ("on hand", totals.on_hand),
        ("to order", totals.order),
        ("tanks to build", totals.custom_tank),
        ("deferred", totals.deferred),
        ("need a decision", totals.needs_decision),
        ("held", totals.held),
    ] {
        assert_eq!(count(what), n.to_string(), "{what}");
    }
    let opening = rows(between(&report, "<div class=\"opening\">", "<section"));
    for (what, amount) in [
        ("vessels", totals.purchase),
        ("delivery", totals.delivery),
        ("fluid", totals.fluid),
        ("tanks", totals.tanks),
        ("to pay", totals.to_pay),
    ] {
        // "fluid" is a table header too.
        let row = opening.iter().find(|row| row[0] == what && Money::parse(&row[1]).is_some());
        assert_eq!(row.unwrap_or_else(|| panic!("no {what}"))[1], amount.on_screen(), "{what}");
    }
    let together: Vec<&Vec<String>> = opening.iter().filter(|row| row[0] == "total").collect();
    assert_eq!(together[0][1], totals.money.on_screen());
    assert_eq!(together[1][1], totals.litres.litres());
    assert!(report.contains("proved best: fewest deferred by priority"));
}

#[test]
fn the_opening_lists_first_the_lots_that_need_a_person() {
    let (_, plan, report) = paper(&demo(), "report.html");
    let first = report.find("Settle these first").expect("it stands there");
    assert!(first < report.find("<dl class=\"counts\">").expect("counts"));
    for kind in
        ["the required vessel is not suitable", "measure first", "no vessel is suitable", "test the fluid first"]
    {
        assert!(between(&report, "Settle these first", "<dl").contains(kind), "{kind}");
    }
    assert_eq!(plan.totals.needs_decision, 6);
}

#[test]
fn the_orders_add_up_to_the_plans_purchase_and_delivery() {
    let (_, plan, report) = paper(&demo(), "report.html");
    let order = rows(section(&report, "order"));
    let sum = |wanted: &dyn Fn(&str) -> bool| -> i64 {
        order.iter().filter(|row| row.len() == 7 && wanted(&row[1])).map(|row| money(&row[6])).sum()
    };
    let hundredths = |amount: Money| amount.parts() / (Money::PER_UNIT / 100);
    assert_eq!(sum(&|what| what == "this order"), hundredths(plan.totals.purchase + plan.totals.delivery));
    assert_eq!(sum(&|what| what.starts_with("delivery")), hundredths(plan.totals.delivery));
    // The table of fluid to buy has as many columns, with litres in the third.
    let lines: Vec<_> = order
        .iter()
        .filter(|row| row.len() == 7 && row[2].parse::<i64>().is_ok() && row[4].parse::<i64>().is_ok())
        .collect();
    assert_eq!(lines.len(), plan.purchases.len());
    let pieces: i64 = lines.iter().map(|row| row[4].parse::<i64>().expect("pieces")).sum();
    let bought: i64 = plan.purchases.iter().map(|purchase| purchase.pieces_used + purchase.spare).sum();
    assert_eq!(pieces, bought);
    let spare: i64 = order.iter().filter(|row| row.len() == 5).filter_map(|row| row[4].parse::<i64>().ok()).sum();
    assert_eq!(spare, plan.purchases.iter().map(|purchase| purchase.spare).sum::<i64>());
}

#[test]
fn every_supplier_has_an_order_of_its_own_to_send() {
    let (project, plan, report) = paper(&demo(), "report.html");
    let order = section(&report, "order");
    let letters: Vec<&str> = order.split("<div class=\"letter\">").skip(1).collect();
    assert_eq!(letters.len(), plan.deliveries.len());
    for delivery in &plan.deliveries {
        let name = &project.stock.supplier(delivery.supplier).name;
        let own =
            letters.iter().find(|letter| letter.contains(&format!("<h3>Order to {name}</h3>"))).expect("an order");
        for blank in ["From", "Our reference", "Date", "Deliver to", "Signed"] {
            assert!(own.contains(&format!("<span class=\"blank\">{blank}</span>")), "{name}: {blank}");
        }
        let others = plan
            .purchases
            .iter()
            .filter(|purchase| project.stock.offers[purchase.offer].supplier != Some(delivery.supplier));
        for other in others {
            assert!(!own.contains(&format!(">{}<", project.stock.offers[other.offer].order_code)), "{name}");
        }
    }
}

/// A project of these lots in one jar of each kind.
fn small(survey: &str) -> ProjectFiles {
    let stock = "vessel,form,inner_diameter_mm,inner_height_mm,material,closure,on_hand\n\
                 jar,cylinder,60,110,borosilicate,ground-glass-stopper,5\n";
    [("specimens.csv", survey), ("vessels.csv", stock)]
        .map(|(name, text)| (name.to_owned(), text.as_bytes().to_vec()))
        .into()
}

#[test]
fn lots_that_state_no_present_volume_are_counted_beside_spent_fluid_also_where_nothing_else_is_spent() {
    let survey = "catalogNumber,length_mm,width_mm,height_mm,outline,fluid,current_fluid\n\
                  A-1,50,20,20,rounded,ethanol-70,ethanol-70\nA-2,50,20,20,rounded,ethanol-70,ethanol-70\n";
    let (project, plan, report) = paper(&small(survey), "report.html");
    assert_eq!((plan.spent.len(), plan.spent_not_stated), (0, 2));
    let fluid = section(&report, "fluid");
    assert!(
        fluid.contains("For 2 placed lots the survey does not state the volume of present fluid: add it."),
        "{fluid}"
    );
    assert!(fluid.contains("never pour it down a drain"), "{fluid}");
    let screen = rehouse::report::fluids::tables(&project, &plan);
    assert!(screen.contains("for 2 placed lots the volume of present fluid is not stated: add it"), "{screen}");
}

#[test]
fn flammable_fluid_is_listed_by_place_also_where_no_fluid_is_made_up() {
    let survey = "catalogNumber,length_mm,width_mm,height_mm,outline,fluid,current_fluid,current_fluid_ml,hold,location\n\
                  A-1,50,20,20,rounded,ethanol-70,ethanol-70,250,on show,Room 4\n";
    let (_, plan, report) = paper(&small(survey), "report.html");
    assert_eq!((plan.make_up.len(), plan.flammable.len()), (0, 1));
    let fluid = section(&report, "fluid");
    assert!(fluid.contains("No fluid is needed."), "{fluid}");
    assert_eq!(cell(&rows(fluid), "Room 4", 1), "0.25");
}

#[test]
fn a_drawing_shows_the_free_space_and_the_level_of_the_fluid() {
    let (project, plan, report) = paper(&demo(), "report.html");
    let figures: Vec<&str> = section(&report, "vessels").split("<figure>").skip(1).collect();
    let mut judged = 0;
    for placement in &plan.placements {
        let (Some(fit), Some(_)) = (placement.fit, placement.vessel) else { continue };
        let key = format!("<b>{}</b>", project.collection.specimens[placement.specimen].key);
        let figure = figures.iter().find(|figure| figure.contains(&key)).expect("a drawing");
        assert!(figure.contains("class=\"surface\"") && figure.contains(">mouth "), "{key}");
        let said = |mark: &str, length: Option<rehouse::units::Length>| {
            let text = length.map(|length| format!("{mark}{}</text>", rehouse::units::decimal(length.mm(), 1)));
            assert!(text.as_ref().is_none_or(|text| figure.contains(text)), "{key}: {text:?} is not in it");
        };
        said(">wall ", fit.wall_gap);
        said(", free ", fit.mouth_gap);
        said(">", fit.cover);
        judged += usize::from(fit.wall_gap.is_some() && fit.mouth_gap.is_some() && fit.cover.is_some());
    }
    assert!(judged > 140, "{judged}");
}

#[test]
fn every_row_in_a_vessel_is_drawn_and_listed_once_with_its_fluid() {
    let (project, plan, report) = paper(&demo(), "report.html");
    let listed = rows(section(&report, "lots")).into_iter().filter(|row| row.len() == 12);
    let listed: Vec<Vec<String>> = listed.collect();
    let section = section(&report, "vessels");
    let placed: Vec<_> = plan.placements.iter().filter(|placement| placement.vessel.is_some()).collect();
    assert_eq!(section.matches("<svg role=\"img\"").count(), placed.len());
    for placement in &placed {
        let key = project.collection.specimens[placement.specimen].key.to_string();
        let own: Vec<_> = listed.iter().filter(|row| row[0] == key).collect();
        assert_eq!(own.len(), 1, "{key}");
        let fluid = placement.fluid.map_or(0, |Millilitres(ml)| ml).to_string();
        let shown: String =
            own[0][11].split('×').next_back().unwrap_or_default().chars().filter(char::is_ascii_digit).collect();
        assert_eq!(shown, fluid, "{key}");
        let review = format!("review: {}", words::review(placement.marks));
        assert_eq!(own[0][1].ends_with(&review), placement.marks.any(), "{key}: {}", own[0][1]);
    }
    // The heading of a vessel and its first row of drawings stand on one page.
    for group in section.split("<div class=\"group\"").skip(1) {
        let kept = group.split_once("<div class=\"keep\"><h3>").expect("a head that is kept").1;
        let figure = kept.find("<figure>").expect("a drawing");
        let closed = kept[..figure].matches("</div>").count() as i64 - kept[..figure].matches("<div").count() as i64;
        assert!(closed < 0, "the drawings are apart from their head: {}", &kept[..figure]);
    }
    let symbols = section.matches("<symbol ").count();
    let used: std::collections::BTreeSet<_> = placed.iter().filter_map(|placement| placement.vessel).collect();
    assert_eq!(symbols, used.len(), "one symbol a vessel");
}

#[test]
fn every_row_that_is_not_placed_stands_with_its_reason() {
    let (project, plan, report) = paper(&demo(), "report.html");
    let decisions = rows(section(&report, "decisions"));
    for placement in &plan.placements {
        let open = matches!(placement.outcome, Outcome::Deferred | Outcome::NeedsDecision | Outcome::Held);
        let key = project.collection.specimens[placement.specimen].key.to_string();
        let row = decisions.iter().find(|row| row[0] == key);
        assert_eq!(row.is_some(), open, "{key}");
        if let Some(row) = row {
            assert_eq!(row[3].replace("&#39;", "'"), *words::reason(&project, placement));
        }
    }
}

#[test]
fn near_misses_of_space_are_drawn_with_their_overlap() {
    let (_, plan, report) = paper(&demo(), "report.html");
    let section = section(&report, "leftovers");
    let of_space = |plan: &Plan| {
        let missed = plan.placements.iter().filter(|placement| placement.vessel.is_none());
        missed
            .filter_map(|placement| placement.near_miss.as_deref())
            .filter(|(_, refusal)| refusal.cause.unit() == ShortfallUnit::Millimetres)
            .count()
    };
    assert_eq!(section.matches("<svg role=\"img\"").count(), of_space(&plan));
    assert!(section.matches("class=\"over\"").count() >= of_space(&plan));
    let narrow = plan
        .placements
        .iter()
        .filter(|placement| placement.vessel.is_none())
        .filter_map(|row| row.near_miss.as_deref());
    let narrow = narrow.filter(|(_, refusal)| words::refusal(refusal).contains("too narrow")).count();
    assert!(narrow > 3);
    assert_eq!(section.matches(">body ").count(), narrow, "how far it reaches");
}

#[test]
fn tanks_have_a_drawing_a_cut_list_and_sheets() {
    let (_, plan, report) = paper(&demo(), "report.html");
    let section = section(&report, "tanks");
    assert_eq!(section.matches("<svg role=\"img\"").count(), plan.tanks.len() + plan.sheets.len());
    let panes: usize = plan.tanks.iter().filter_map(|tank| tank.design.as_ref()).map(|design| design.panes.len()).sum();
    assert_eq!(rows(section).iter().filter(|row| row.len() == 6 && row[1].parse::<u32>().is_ok()).count(), panes);
    let nested: usize = plan.sheets.iter().map(|sheet| sheet.panes.len()).sum();
    assert_eq!(rows(section).iter().filter(|row| row.len() == 7 && row[0].parse::<u32>().is_ok()).count(), nested);
}

#[test]
fn fluid_adds_up_and_settings_name_their_origin() {
    let (_, plan, report) = paper(&demo(), "report.html");
    let fluid = rows(section(&report, "order"));
    assert_eq!(cell(&fluid, "total", 2), plan.totals.litres.litres());
    assert_eq!(cell(&fluid, "total", 8), plan.totals.fluid.on_screen());
    let settings = rows(section(&report, "settings"));
    assert_eq!(cell(&settings, "budget", 1), "1950.00");
    assert_eq!(cell(&settings, "budget", 2), "your own");
    assert_eq!(cell(&settings, "clearance.wall_pct", 2), "default");
    assert!(settings.iter().any(|row| row[0] == "Ethanol 30 %" && row[2] == "not your own"));
    assert_eq!(cell(&settings, "specimens.csv", 1), "0".repeat(64));
}

#[test]
fn cautions_and_warnings_are_all_there() {
    let (project, plan, report) = paper(&demo(), "report.html");
    let (cautions, warnings) = (caution::sentences(&project.rules, &plan), warning::sentences(&project, &plan));
    assert!(cautions.len() > 5 && warnings.len() > 3);
    for said in cautions.iter().chain(&warnings) {
        assert!(report.contains(&said.replace('\'', "&#39;")), "{said}");
    }
}

#[test]
fn rows_that_were_left_out_come_first_in_every_paper() {
    let mut files = demo();
    let survey = String::from_utf8(files["specimens.csv"].clone()).expect("UTF-8");
    let broken = survey.replacen(
        "A0301,,WDLM,ANA,Ovis aries,heart sectioned on plate,1,",
        "A0301,,WDLM,ANA,Ovis aries,heart,0,",
        1,
    );
    files.insert("specimens.csv".to_owned(), broken.into_bytes());
    let (project, plan) = planned(&files);
    assert_eq!(plan.skipped_rows.len(), 1);
    for (name, text) in super::papers(&project, &plan) {
        assert!(text.contains("Left out: 1 "), "{name}");
    }
}

#[test]
fn the_money_bar_draws_what_is_left_and_tanks_are_not_white() {
    let (project, plan, report) = paper(&demo(), "report.html");
    let bar = between(&report, "<div class=\"opening\">", "</svg>");
    let left = project.settings.budget.expect("a budget") - plan.totals.money;
    assert!(bar.contains(&format!("left {}", left.on_screen())), "said in words too");
    let wide = |class: &str| -> f64 {
        let first = between(bar, &format!("<rect class=\"{class}\""), "/>");
        between(first, " width=\"", "\"").parse().expect("a width")
    };
    let whole: f64 = ["solid", "hatch", "dots", "bricks", "open"].map(wide).iter().sum();
    let share = (left.approximate() / project.settings.budget.expect("a budget").approximate()) * whole;
    assert!((wide("open") - share).abs() < 0.2, "{} of {whole}", wide("open"));
    assert!(wide("bricks") > 0.0, "tanks");
}

#[test]
fn of_many_lots_not_placed_the_decision_shows_the_most_urgent_and_the_annex_all() {
    let mut survey = "catalogNumber,length_mm,width_mm,height_mm,fluid,priority,hold\n".to_owned();
    for i in 0..60 {
        let (size, hold) = if i < 40 { (",,", "") } else { ("10,10,10", "under study") };
        survey.push_str(&format!("L{i:03},{size},ethanol-70,{},{hold}\n", 4 - i % 4));
    }
    let stock = "vessel,form,inner_diameter_mm,inner_height_mm,material,closure,on_hand\n\
                 JAR-50,cylinder,50,90,borosilicate,pp-cap-ptfe,2\n";
    let files = [("specimens.csv", survey.as_str()), ("vessels.csv", stock)]
        .map(|(name, text)| (name.to_owned(), text.as_bytes().to_vec()));
    let (_, plan, report) = paper(&files.into(), "report.html");
    assert_eq!((plan.totals.needs_decision, plan.totals.held), (40, 20));
    let decisions = rows(section(&report, "decisions"));
    let shown: Vec<&Vec<String>> = decisions.iter().filter(|row| row[0].starts_with('L')).collect();
    assert_eq!(shown.len(), 18, "half for each outcome: {shown:?}");
    let urgent = shown.iter().filter(|row| row[2] == "1").count();
    assert_eq!(urgent, 9 + 5, "ten undecided and five held lots are of priority 1: {shown:?}");
    let annex = rows(section(&report, "waiting"));
    let annex: Vec<&Vec<String>> = annex.iter().filter(|row| row[0].starts_with('L')).collect();
    assert_eq!(annex.len(), 60);
    assert!(annex[..40].is_sorted_by_key(|row| (row[2].clone(), row[0].clone())), "by priority, then key");
}
