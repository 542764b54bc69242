//! Settings, flags and the defaults of blank cells.

use super::{ReadingCase, SURVEY, found};
use rehouse::settings::Settings;
use rehouse::units::Money;

#[test]
fn flags_override_the_settings_file() {
    let case =
        ReadingCase::settings("budget = 100\n[clearance]\nwall_pct = 7\n").flag("budget", 250).flag("leaning", true);
    let settings = case.project().settings;
    assert_eq!((settings.budget, settings.leaning, settings.wall_pct.0), (Some(Money::whole(250)), true, 7.0));
    found(ReadingCase::new().flag("bugdet", 1), &["command line unknown-setting"]);
}

#[test]
fn effective_settings_read_back_to_the_same_settings() {
    let settings =
        ReadingCase::settings("budget = 9.5\n[defaults]\nposture = \"any\"\n[fluid_price]\nethanol-70 = 2\n")
            .project()
            .settings;
    assert_eq!(ReadingCase::settings(&settings.to_toml()).project().settings, settings);
    assert_eq!(ReadingCase::settings(&Settings::default().to_toml()).project().settings, Settings::default());
}

#[test]
fn an_unknown_setting_is_refused_with_the_nearest_name() {
    let case = ReadingCase::settings("# ours\nbugdet = 3\n");
    assert_eq!(case.found(), ["settings.toml:2:1 unknown-setting"]);
    assert!(case.says().contains("→ if you mean budget, write that  ["));
    let case = ReadingCase::settings("\n[clearance]\n  wal_pct = 3\n");
    assert_eq!(case.found(), ["settings.toml:3:3 unknown-setting"]);
    assert!(case.says().contains("→ if you mean clearance.wall_pct, write that  ["));
    found(ReadingCase::settings("[clearence]\nwall_pct = 3\n"), &["settings.toml:1:2 unknown-setting"]);
    found(ReadingCase::settings("[defaults]\nfluid = \"unknown\"\n"), &["settings.toml:2:1 unknown-setting"]);
    found(ReadingCase::settings("[defaults]\npostrue = \"any\"\n"), &["settings.toml:2:1 unknown-setting"]);
    found(ReadingCase::settings("[fluid_price]\ngin = 3\n"), &["settings.toml:2:1 unknown-fluid"]);
    let case = ReadingCase::settings("[fluid_price]\nalcohol-unmeasured = 3\n");
    assert_eq!(case.found(), ["settings.toml:2:1 unknown-fluid"]);
    assert!(case.says().contains("→ delete the line  ["), "{}", case.says());
}

#[test]
fn a_setting_of_the_wrong_kind_is_refused_at_its_value() {
    for (line, column) in [
        ("budget = \"lots\"", 10),
        ("budget = -1", 10),
        ("keep_years = nan", 14),
        ("keep_years = 1e12", 14),
        ("max_suppliers = 1.5", 17),
        ("leaning = \"yes\"", 11),
        ("tanks = \"sometimes\"", 9),
        ("clearance = 5", 13),
        ("glass.sheets_mm = \"3210.0004x2250\"", 19),
        ("tissue.density_g_ml = 0", 23),
        ("fluid_price.ethanol-70 = \"dear\"", 26),
        ("budget = [1]", 10),
        ("priority.weights = [1, 2, 3, 4]", 20),
        ("priority.weights = [10001, 1, 1, 1]", 20),
        ("priority.weights = [1, [1], 1, 1]", 20),
        ("priority.rule = \"none\"", 17),
    ] {
        assert_eq!(ReadingCase::settings(line).found(), [format!("settings.toml:1:{column} wrong-setting")], "{line}");
    }
}

#[test]
fn two_stated_cores_of_a_coil_must_be_in_order_and_one_stated_alone_holds() {
    let case = ReadingCase::settings("[clearance]\ncoil_core = 2.5\ncoil_core_least = 2.6\n");
    assert_eq!(case.found(), ["settings.toml:3:19 wrong-setting"]);
    let said = case.says();
    assert!(said.contains("clearance.coil_core_least is 2.6, above clearance.coil_core, which is 2.5"), "{said}");
    let cores = |text: &str| {
        let settings = ReadingCase::settings(text).project().settings;
        // What is in force can be written down and read again.
        assert_eq!(ReadingCase::settings(&settings.to_toml()).project().settings, settings);
        (settings.coil_core_least.0, settings.coil_core.0)
    };
    assert_eq!(cores("[clearance]\ncoil_core = 2.5\ncoil_core_least = 2.5\n"), (2.5, 2.5));
    assert_eq!(cores("[clearance]\ncoil_core = 1.5\n"), (1.5, 1.5));
    assert_eq!(cores("[clearance]\ncoil_core_least = 4\n"), (4.0, 4.0));
}

#[test]
fn a_price_that_losses_and_tax_carry_beyond_any_amount_is_refused() {
    let priced =
        |price: u32| format!("[fluid]\nloss_pct = 1000\ntax_pct = 1000\n[fluid_price]\nethanol-70 = {price}\n");
    let case = ReadingCase::settings(&priced(800_000_000));
    assert_eq!(case.found(), ["settings.toml:2:12 wrong-setting"]);
    assert!(case.says().contains("the price of ethanol-70 with fluid.loss_pct and fluid.tax_pct"), "{}", case.says());
    let mut project = ReadingCase::settings(&priced(700_000_000)).project();
    let fluid = project.rules.fluid_named("ethanol-70").expect("a fluid");
    assert_eq!(project.fluid_price(fluid), Money::whole(84_700_000_000));
    // A project made by hand gets the largest amount, never the price without losses and tax.
    project.rules.fluids[usize::from(fluid.0)].price = Money::whole(800_000_000);
    assert_eq!(project.fluid_price(fluid), Money::MOST);
}

#[test]
fn a_group_of_settings_that_is_written_as_a_setting_is_named() {
    let said = ReadingCase::settings("clearance = 5\n").says();
    assert!(said.contains("clearance is the heading of a group of settings, not a setting"), "{said}");
}

#[test]
fn a_settings_file_that_is_not_toml_is_refused_at_its_line() {
    let found = ReadingCase::settings("budget = 5\nstore = controlled\n").found();
    assert_eq!(found[0], "settings.toml:2:9 not-toml");
}

#[test]
fn an_invalid_default_is_reported_once_at_the_settings() {
    let survey = format!("{SURVEY}A-2,1,2,3,unknown\n");
    let case = ReadingCase::settings("[defaults]\nposture = \"sideways\"\n").with("specimens.csv", survey);
    found(case, &["settings.toml:2:11 unknown-word"]);
}

#[test]
fn materials_and_closures_in_the_settings_of_tanks_must_be_known() {
    found(ReadingCase::settings("[tank]\nlid = \"lead\"\n"), &["settings.toml:2:7 unknown-closure"]);
    found(ReadingCase::settings("[tank]\nmaterial = \"lead\"\n"), &["settings.toml:2:12 unknown-material"]);
}

#[test]
fn a_stress_of_glass_above_the_usual_one_warns_that_it_has_no_load_factor() {
    let case = ReadingCase::settings("[tank]\nallowable_mpa = 6\n");
    assert_eq!(case.found(), ["settings.toml:2:17 unfactored-stress?"]);
    assert!(case.says().contains("7.25 / 1.35 = 5.4 MPa"), "{}", case.says());
    assert!(ReadingCase::settings("[tank]\nallowable_mpa = 5\n").found().is_empty());
    assert_eq!(ReadingCase::settings("[tank]\nseam_mpa = 0.2\n").found(), ["settings.toml:2:12 wrong-setting"]);
}

#[test]
fn prices_a_litre_in_the_settings_override_the_table() {
    let rules = ReadingCase::settings("fluid_price.ETHANOL-70 = 2.75\n").project().rules;
    assert_eq!((rules.fluids[0].price, rules.fluids[0].price_is_default), (Money::parse("2.75").unwrap(), false));
    assert_eq!((rules.fluids[1].price, rules.fluids[1].price_is_default), (Money::parse("4.1").unwrap(), false));
    assert!(rules.fluids[3].price_is_default, "a blank price is nobody's");
}
