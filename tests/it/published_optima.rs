//! Whole plans against the published optima of the uncapacitated warehouse location problems cap71 to cap74.
//!
//! Beasley, J. E. (1990), OR-Library: distributing test problems by electronic mail, Journal of the Operational
//! Research Society 41, 1069–1072; Beasley, J. E. (1988), An algorithm for solving large capacitated warehouse location
//! problems, European Journal of Operational Research 33, 314–325. Tables: `tests/reference/warehouse-location/`.
//!
//! A customer is a specimen with a fluid of its own. A warehouse is a supplier whose delivery charge is the fixed cost. A pair of both is
//! a vessel that this supplier sells at the cost of the pair, of a material that suits only this customer's fluid. The fluid costs
//! nothing, so the plan's money is the cost of the location problem.

use crate::support::{CsvTable, TestProject, figure, row, rows};

const FIXED_COSTS: &[u8] = include_bytes!("../reference/warehouse-location/fixed-costs.csv");
const COSTS: &[u8] = include_bytes!("../reference/warehouse-location/costs.csv");
const OPTIMA: &[u8] = include_bytes!("../reference/warehouse-location/optima.csv");

const PROBLEMS: [&str; 4] = ["cap71", "cap72", "cap73", "cap74"];

#[test]
fn cap71_as_a_project_costs_the_published_optimum() {
    check("cap71");
}

#[test]
fn cap72_as_a_project_costs_the_published_optimum() {
    check("cap72");
}

#[test]
fn cap73_as_a_project_costs_the_published_optimum() {
    check("cap73");
}

#[test]
fn cap74_as_a_project_costs_the_published_optimum() {
    check("cap74");
}

#[test]
fn files_named_one_by_one_give_the_plan_of_their_folder() {
    let case = project("cap74");
    let folder = case.planned();
    let files = case.written(case.plan_by_files());
    assert_eq!(files.placements, folder.placements);
    assert_eq!(files.purchases, folder.purchases);
    assert_eq!(files.plan["totals"], folder.plan["totals"]);
}

/// Checks that the tables here are the published problems, independently of the program.
#[test]
fn enumerating_all_sets_of_warehouses_gives_the_published_optima() {
    let costs = serving_costs();
    assert_eq!(costs.len(), 50);
    for problem in PROBLEMS {
        let fixed = fixed_costs(problem);
        let cost = |open: usize| opening(&fixed, open) + serving(&costs, open).iter().sum::<f64>();
        let least = (1..1 << 16).map(cost).fold(f64::INFINITY, f64::min);
        assert!((least - published(problem)).abs() < 0.001, "{problem}: {least}");
    }
}

/// By customer, the cost of serving it from each warehouse.
pub fn serving_costs() -> Vec<Vec<f64>> {
    rows(COSTS).iter().map(|customer| (1..=16).map(|w| figure(customer, &format!("from_{w}"))).collect()).collect()
}

/// What each warehouse costs.
pub fn fixed_costs(problem: &str) -> Vec<f64> {
    rows(FIXED_COSTS).iter().map(|warehouse| figure(warehouse, problem)).collect()
}

/// What the warehouses of a set cost together.
pub fn opening(fixed: &[f64], open: usize) -> f64 {
    (0..16).filter(|w| open >> w & 1 == 1).map(|w| fixed[w]).sum()
}

/// The least cost of serving each customer from the warehouses of a set.
pub fn serving(costs: &[Vec<f64>], open: usize) -> Vec<f64> {
    let cheapest =
        |customer: &Vec<f64>| (0..16).filter(|w| open >> w & 1 == 1).map(|w| customer[w]).fold(f64::INFINITY, f64::min);
    costs.iter().map(cheapest).collect()
}

fn published(problem: &str) -> f64 {
    figure(row(&rows(OPTIMA), "problem", problem), "least_cost")
}

fn check(problem: &str) {
    let planned = project(problem).planned();
    let money = planned.total("money");
    assert!((money - published(problem)).abs() < 0.01, "{problem}: {money}, published {}", published(problem));
    assert_eq!(planned.status(), "proved best", "{problem}");
    assert_eq!(planned.total("order"), 50.0);
    let spent = planned.total("purchase") + planned.total("delivery");
    assert!((spent - money).abs() < 0.001, "{problem}: fluid and tanks cost nothing here");
}

/// A problem as a project.
pub fn project(problem: &str) -> TestProject {
    let costs = rows(COSTS);
    TestProject::new()
        .file("specimens.csv", specimens(&costs))
        .file("vessels.csv", vessels(&costs))
        .file("suppliers.csv", suppliers(problem))
        .file("settings.toml", "[solver]\ntime_limit_s = 600\n")
        .file("rules/fluids.csv", fluids(&costs))
        .file("rules/materials.csv", materials(&costs))
        .file("rules/compatibility.csv", compatibility(&costs))
        .file("rules/transfers.csv", "from,to,baths,days_per_bath,source,note\n")
}

fn lines(header: &str, lines: impl Iterator<Item = String>) -> String {
    std::iter::once(format!("{header}\n")).chain(lines).collect()
}

fn specimens(costs: &CsvTable) -> String {
    lines(
        "catalogNumber,length_mm,width_mm,height_mm,fluid",
        costs.iter().map(|customer| format!("c{0},30,20,20,water-{0}\n", customer["customer"])),
    )
}

fn vessels(costs: &CsvTable) -> String {
    let pair = |customer: &str, warehouse: usize, cost: &str| {
        format!("w{warehouse}-c{customer},cylinder,80,100,glass-{customer},pp-cap-ptfe,{cost},warehouse-{warehouse}\n")
    };
    lines(
        "vessel,form,inner_diameter_mm,inner_height_mm,material,closure,unit_price,supplier",
        costs.iter().flat_map(|customer| {
            (1..=16).map(move |w| pair(&customer["customer"], w, &customer[&format!("from_{w}")]))
        }),
    )
}

fn suppliers(problem: &str) -> String {
    lines(
        "supplier,delivery_charge",
        rows(FIXED_COSTS).iter().map(|row| format!("warehouse-{},{}\n", row["warehouse"], row[problem])),
    )
}

fn fluids(costs: &CsvTable) -> String {
    lines(
        "fluid,name,aliases,family,strength_pct,density_g_ml,growth_20_35_pct,flash_c,price_per_litre,hazard,source,note",
        costs.iter().map(|c| format!("water-{0},water {0},,aqueous,,1,0.43,,0,,invented,\n", c["customer"])),
    )
}

fn materials(costs: &CsvTable) -> String {
    let own = costs.iter().map(|c| format!("glass-{0},glass {0},yes,,invented,\n", c["customer"]));
    let of_tanks = "silicone-bonded-glass,glass bonded with silicone,yes,,invented,\n".to_owned();
    lines("material,name,clear,life_years,source,note", own.chain([of_tanks]))
}

fn compatibility(costs: &CsvTable) -> String {
    let own = costs.iter().map(|c| format!("water-{0},glass-{0},permanent,,,invented\n", c["customer"]));
    let of_caps = "aqueous,pp-cap-ptfe,permanent,,,invented\n".to_owned();
    lines("fluid,part,verdict,years,note,source", own.chain([of_caps]))
}
