//! `rehouse compare` and `plan --against`: screens, refusals, the page.

use std::fs;
use std::path::Path;

use assert_cmd::cargo::cargo_bin_cmd;
use tempfile::TempDir;

/// A folder with plans of the demonstration: `a` with its own budget, `b` with a smaller one.
fn plans() -> TempDir {
    let folder = TempDir::new().expect("a temporary folder");
    for (name, budget) in [("a", "1950"), ("b", "1500")] {
        let (code, _, told) = run(folder.path(), &[&planning(budget)[..], &["--out", name]].concat());
        assert_eq!(code, 0, "{told}");
    }
    folder
}

/// Plans the demonstration with time enough for a busy machine: plans are the same only where they are proved best.
fn planning(budget: &str) -> [&str; 8] {
    ["plan", DEMO, "--papers", "none", "--set", "solver.time_limit_s=600", "--budget", budget]
}

const DEMO: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/demo-data");

/// Exit code and both outputs of a command in a folder, on a screen of 80 characters.
fn run(folder: &Path, arguments: &[&str]) -> (i32, String, String) {
    let mut rehouse = cargo_bin_cmd!("rehouse");
    let output = rehouse.args(arguments).current_dir(folder).env("COLUMNS", "80").output().expect("it runs");
    let text = |bytes: &[u8]| String::from_utf8(bytes.to_vec()).expect("UTF-8");
    (output.status.code().unwrap_or(-1), text(&output.stdout), text(&output.stderr))
}

#[test]
fn the_screen_of_the_demo_with_less_money() {
    let folder = plans();
    let (code, screen, told) = run(folder.path(), &["compare", "a", "b"]);
    assert_eq!((code, told.as_str()), (0, ""));
    assert!(screen.lines().all(|line| line.chars().count() <= 80), "{screen}");
    let (first, rest) = screen.split_once("\nIn another vessel (14)\n").expect("lots in another vessel");
    insta::assert_snapshot!(first, @r"
    Old plan: a. New plan: b.

    Money
      line                                    old, crowns   new, crowns   difference
      vessels                                      750.10        596.50      -153.60
      delivery                                      60.00         60.00            0
      fluid                                        580.22        509.27       -70.95
      tanks                                        486.65        333.47      -153.18
      cost: the sum of these                      1876.97       1499.24      -377.73
      disposal of spent fluid                       21.86         21.86            0
      fluid bought in whole containers, not        -79.62        -70.27        +9.35
      by the litre
      to pay: cost and these                      1819.21       1450.83      -368.38
      labour                                      1066.84        999.01       -67.83
      budget                                      1950.00       1500.00      -450.00
      left of the budget                            73.03          0.76       -72.27

    Lots by kind of change
      change                     lots
      No longer placed              8
      In another vessel            14
      Unchanged                   153
      all lots of both surveys    175

    Order lines that differ
      supplier            vessel                change    packs × pieces    money
      Ostrey Laboratory   acrylic-180x120x200   dropped        2 → 0 × 1   -78.00
      Ware
      Ostrey Laboratory   box-15                fewer          6 → 4 × 1   -43.00
      Ware
      Ostrey Laboratory   box-3                 fewer          6 → 4 × 1   -18.80
      Ware
      Ostrey Laboratory   box-6                 fewer          4 → 3 × 1   -13.80
      Ware
      (not shown on a screen this narrow: order code)

    Fluid that differs
      fluid             use           old, l    new, l   difference
      ethanol-70        in vessels    88.799    84.082       -4.717
      formalin-10       in vessels   216.614   168.407      -48.207
      ethanol-70        to make up    83.112    78.395       -4.717
      formalin-10       to make up   201.614   153.407      -48.207
      ethanol-96        to order      53.876    50.437       -3.439
      formaldehyde-37   to order      20.273    15.453        -4.82

    Inputs that differ, beside the survey
      input           entry    old       new
      settings.toml   budget   1950.00   1500.00

    No longer placed (8)
      lot              old → new                       why
      WDLM:ANA:A0305   acrylic-180x120x200 →           now: waits: by itself 43.16
                       deferred                        more, 0.76 left; budget:
                                                       1950.00 → 1500.00
      WDLM:ANA:A0314   box-3 → deferred                now: waits: by itself 12.06
                                                       more, 0.76 left; budget:
                                                       1950.00 → 1500.00
      WDLM:ANA:A0323   box-15 → deferred               now: waits: by itself 35.58
                                                       more, 0.76 left; budget:
                                                       1950.00 → 1500.00
      WDLM:HRP:H0114   box-3 → deferred                now: waits: by itself 12.07
                                                       more, 0.76 left; budget:
                                                       1950.00 → 1500.00
      WDLM:INV:I0262   box-15 → deferred               now: waits: by itself 36.01
                                                       more, 0.76 left; budget:
                                                       1950.00 → 1500.00
      WDLM:PIS:P0046   tank 450 × 330 × 90 mm →        now: waits: by itself 163.23
                       deferred                        more, 0.76 left; budget:
                                                       1950.00 → 1500.00
      WDLM:PIS:P0053   cylinder-80x300 → deferred      now: waits: by itself 34.01
                                                       more, 0.76 left; budget:
                                                       1950.00 → 1500.00
      WDLM:PIS:P0056   museum-200x100x250 → deferred   now: waits: by itself 81.16
                                                       more, 0.76 left; budget:
                                                       1950.00 → 1500.00
    ");
    let lots: String = rest.split_inclusive('\n').take(10).collect();
    insta::assert_snapshot!(lots, @r"
    lot              old → new                    why
    WDLM:ANA:A0302   acrylic-180x120x200 →        museum-200x100x250 held P0056
                     museum-200x100x250           (priority 4) before; only
                                                  input that differs: budget
                                                  1950.00 → 1500.00
    WDLM:HRP:H0103   clip-1000 → jar-1000         clip-1000 goes to P0052
                                                  (priority 3); jar-1000 held
                                                  P0052 (priority 3) before;
                                                  only input that differs:
                                                  budget 1950.00 → 1500.00
    ");
    let end = "\nIn short: 22 of 175 lots changed; placed 159 → 151; cost 1876.97 → 1499.24\ncrowns; fluid 309.668 → 256.744 l; work 57.7 → 54 h.\n";
    assert!(rest.ends_with(end), "{rest}");
    let (_, csv, _) = run(folder.path(), &["compare", "a", "b", "--format", "csv"]);
    let rows = crate::support::rows(csv.as_bytes());
    assert_eq!(rows.iter().filter(|row| row["part"] == "lot").count(), 175);
    let (_, again, _) = run(folder.path(), &["compare", "a", "a"]);
    assert_eq!(again, "Old plan: a. New plan: a.\n\nNothing differs: 175 lots in the same places.\n");
}

#[test]
fn a_plan_against_the_folder_that_it_replaces() {
    let folder = plans();
    let (_, wanted, _) = run(folder.path(), &["compare", "a", "b"]);
    let arguments = [&planning("1500")[..], &["--out", "a", "--against", "a"]].concat();
    let (code, screen, told) = run(folder.path(), &arguments);
    assert_eq!(code, 0, "{told}");
    let compared = screen.split("\nCompared with the plan in a\n\n").nth(1).expect("a comparison");
    assert_eq!(compared, wanted.replace("New plan: b.", "New plan: this one."));
    let (_, after, _) = run(folder.path(), &["compare", "a", "b"]);
    assert!(after.contains("Nothing differs"), "{after}");
}

#[test]
fn folders_that_hold_no_sound_plan_are_refused() {
    let folder = plans();
    let here = folder.path();
    for (old, wanted) in [("nothing", "nothing"), ("empty", "empty: it holds no plan.json")] {
        fs::create_dir_all(here.join("empty")).expect("a folder");
        let (code, shown, told) = run(here, &["compare", old, "b"]);
        assert_eq!((code, shown.as_str()), (2, ""), "{told}");
        assert!(told.contains(wanted) && told.contains("→ "), "{told}");
    }
    let path = here.join("a/plan.json");
    let sound = fs::read_to_string(&path).expect("plan.json");
    let wrong = sound.replacen("\"fluid_ml\":", "\"fluid_ml\":1", 1);
    assert_ne!(wrong, sound);
    fs::write(&path, wrong).expect("a wrong plan");
    fs::write(here.join("b/placements.csv"), "changed").expect("a wrong file");
    let (code, shown, told) = run(here, &["compare", "a", "b"]);
    assert_eq!((code, shown.as_str()), (1, ""), "{told}");
    for wanted in [
        "this plan fails its audit and is not compared",
        "fluid_ml: the plan states",
        "b: 1 finding\n  placements.csv: changed, added or removed since the plan was written",
        "plan again, or restore the files as they were written",
    ] {
        assert!(told.contains(wanted), "{wanted}: {told}");
    }
    let (code, shown, told) = run(here, &["plan", DEMO, "--out", "c", "--against", "a"]);
    assert_eq!((code, shown.as_str()), (1, ""), "{told}");
    assert!(told.ends_with("Nothing was planned.\n") && !here.join("c").exists(), "{told}");
}

#[test]
fn a_plan_of_another_version_is_compared_with_a_note() {
    let folder = plans();
    let path = folder.path().join("a/plan.json");
    let own = fs::read_to_string(&path).expect("plan.json");
    let version = env!("CARGO_PKG_VERSION");
    let other = own.replacen(&format!("\"version\":\"{version}\""), "\"version\":\"0.0.9\"", 1);
    let other = other.replacen(&format!("\"version\": \"{version}\""), "\"version\": \"0.0.9\"", 1);
    assert_ne!(other, own, "{}", &own[..400.min(own.len())]);
    fs::write(&path, other).expect("plan.json");
    let (code, screen, told) = run(folder.path(), &["compare", "a", "b"]);
    assert_eq!(code, 0, "{told}");
    let screen = screen.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        screen.contains("Note: the old plan was written by rehouse 0.0.9: its figures were recalculated"),
        "{screen}"
    );
}

#[test]
fn what_cannot_be_compared_or_written_has_a_cure() {
    let folder = plans();
    let here = folder.path();
    let thalers = ["plan", DEMO, "--set", "currency=thalers", "--papers", "none", "--out", "t"];
    assert_eq!(run(here, &thalers).0, 0);
    let refused = [
        (&["compare", "a", "t"][..], "the old plan is in crowns and the new one in thalers", "plan one of them again"),
        (&["compare", "a", "b", "--out", "x.csv"], "its name does not end in .html", "--format csv"),
        (&["compare", "a", "b", "--out", "b/x.html"], "--out b/x.html is inside b", "name a file outside it"),
        (&["plan", "x", "--against", "a", "--format", "json"], "prints plan.json alone", "rehouse compare a NEW"),
    ];
    for (arguments, what, cure) in refused {
        let (code, shown, told) = run(here, arguments);
        assert_eq!((code, shown.as_str()), (2, ""), "{arguments:?}: {told}");
        // Messages may be broken to the width of the screen.
        let told = told.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(told.contains(what) && told.contains(cure), "{arguments:?}: {told}");
    }
    assert!(!here.join("b/x.html").exists() && !here.join("x.csv").exists());
    let (code, _, told) = run(here, &["plan", DEMO, "--out", "n", "--against", "t"]);
    assert_eq!(code, 2, "{told}");
    assert!(!here.join("n").exists(), "nothing is written: {told}");
}

#[test]
fn the_page_has_what_the_screen_has() {
    let folder = plans();
    let here = folder.path();
    let (code, screen, told) = run(here, &["compare", "a", "b", "--out", "compared.html"]);
    assert_eq!(code, 0, "{told}");
    let page = fs::read_to_string(here.join("compared.html")).expect("the page");
    for shown in ["1876.97", "-377.73", "WDLM:ANA:A0305", "budget: 1950.00 → 1500.00", "acrylic-180x120x200"] {
        assert!(screen.contains(shown) || shown.contains("budget"), "{shown} on the screen");
        assert!(page.contains(shown), "{shown} on the page");
    }
}

/// A page about texts that are meant to break it.
#[test]
fn the_page_and_the_screen_show_typed_text_and_never_run_it() {
    let survey = "catalogNumber,scientificName,length_mm,width_mm,height_mm,fluid,hold\n\
        <script>x</script>,\"<b>'\",40,12,10,ethanol-70,\n\"=1+1&\"\"<\",n,40,12,10,ethanol-70,\n";
    let stock = "vessel,form,inner_diameter_mm,inner_height_mm,material,closure,supplier,unit_price\n\
        \"jar<&\"\"'>\",cylinder,60,90,soda-lime,pp-cap-foamed-pe,</td><Foss>,2\n";
    let files = |survey: &str, stock: &str| -> crate::support::ProjectFiles {
        [("specimens.csv", survey), ("vessels.csv", stock), ("settings.toml", "currency = \"<crowns>\"\n")]
            .map(|(name, text)| (name.to_owned(), text.as_bytes().to_vec()))
            .into()
    };
    let old = super::planned(&files(survey, stock));
    let changed = survey.replace("ethanol-70,\n\"", "ethanol-70,\"<hold>\u{1b}[2J\"\n\"");
    let new = super::planned(&files(&changed, &stock.replace(",2\n", ",3\n")));
    let comparison = super::compare(super::side(&old), super::side(&new)).expect("one currency");
    let compared = rehouse::report::comparison::Compared {
        comparison: &comparison,
        names: ["<i>one</i>", "other"],
        versions: [Some("<0.0>"), None],
    };
    let page = String::from_utf8(compared.page()).expect("UTF-8");
    for raw in ["<script", "<Foss", "<hold", "<i>one", "<crowns", "<0.0", "\u{1b}"] {
        assert!(!page.contains(raw), "{raw} in {page}");
    }
    for shown in ["&lt;script&gt;x&lt;/script&gt;", "&lt;hold&gt;", "&lt;/td&gt;&lt;Foss&gt;", "&lt;crowns&gt;"] {
        assert!(page.contains(shown), "{shown} in {page}");
    }
    let csv = String::from_utf8(compared.csv()).expect("UTF-8");
    assert!(csv.contains("\"'=1+1&\"\"<\""), "{csv}");
    assert!(!rehouse::report::visible::visible(&compared.text()).contains('\u{1b}'));
}
