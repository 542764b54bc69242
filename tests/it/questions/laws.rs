//! Laws that hold for each question about any project: changing nothing changes nothing, one more free piece is never worse, removing a
//! vessel is never better, and the order of rows changes no byte. Inputs that make no sense have a cure, whatever is asked.

use std::collections::BTreeMap;
use std::path::Path;

use itertools::Itertools;
use rehouse::inquiry::budget::staircase;
use rehouse::inquiry::fluid::fluid_curve;
use rehouse::inquiry::kept::kept;
use rehouse::inquiry::limits::{LimitOf, limit_curve};
use rehouse::inquiry::new_sizes::new_sizes;
use rehouse::inquiry::{Inquiry, Watch};
use rehouse::options::table::judge_all;
use rehouse::project::Project;
use rehouse::settings::sizes::RoundTo;
use rehouse::settings::{Percent, Tanks};
use rehouse::units::{Length, Position};

use super::{judged, ran, small_files};
use crate::properties::files::{ProjectTables, XorShift};
use crate::support::{TestProject, sampled, tries_all};

/// Lots without a place by priority, then money in ten-millionths.
type AnswerRank = ([i64; 4], i64);

/// What each question answers about a project, point by point: for any budget, limit or number the best that is to be had.
#[derive(Debug, PartialEq)]
struct Answers {
    /// Budget, and lots that wait at it.
    budgets: Vec<(i64, [i64; 4])>,
    /// Money and millilitres of plans with as few waiting lots as can be, and these lots.
    fluid: ([i64; 4], Vec<(i64, i64)>),
    /// By kind of limit and limit.
    limits: BTreeMap<(&'static str, u32), AnswerRank>,
    /// By number of kinds to keep.
    kept: Vec<AnswerRank>,
    /// With one size and two sizes that are not listed; none where they cannot be proposed.
    new_sizes: Vec<AnswerRank>,
}

/// Lots that wait in an answer, and lots that no vessel holds and that have no tank.
fn answers(project: &Project) -> Answers {
    let rows = judge_all(project);
    let mut watch = Watch { report: &mut |_| {}, stop: &|| false };
    let inquiry = Inquiry::about(project, &rows);
    // A question decides of lots with an option only. The others wait here too, whichever lots these are.
    let unplaced = inquiry.plan_value(&inquiry.decide(&mut watch));
    let decided = unplaced.values.deferred;
    let without_option: [i64; 4] = std::array::from_fn(|at| unplaced.without_place[at] - decided[at]);
    let waiting = |deferred: [i64; 4]| std::array::from_fn(|at| deferred[at] + without_option[at]);
    let budgets = staircase(&mut inquiry.clone(), 200, &mut watch).points;
    let front = fluid_curve(inquiry.question(), 500, &mut watch).points;
    let mut limits = BTreeMap::new();
    for of in [LimitOf::Kinds, LimitOf::Suppliers] {
        let curve = limit_curve(&mut inquiry.clone(), of, 6, &mut watch);
        let rank = |values: &rehouse::assign::evaluate::Values| (waiting(values.deferred), values.weighed.parts());
        for most in 1..=6_u32 {
            let point = curve.points.get(most as usize - 1).unwrap_or(&curve.unlimited);
            limits.insert((of.name(), most), rank(&point.values));
        }
    }
    let most = u32::try_from(project.stock.vessels.len()).expect("few");
    let rank = |rank: ([i64; 4], rehouse::units::Money)| (rank.0, rank.1.parts());
    let kept = (1..=most).map(|most| rank(kept(&inquiry, most, &mut watch).plan.rank())).collect();
    let new = |most| new_sizes(&inquiry, most, &|_, _| true, &mut watch).ok().map(|found| rank(found.plan.rank()));
    Answers {
        budgets: budgets.iter().map(|point| (point.budget.parts(), waiting(point.deferred))).collect(),
        fluid: (
            front.first().map_or([0; 4], |point| waiting(point.values.deferred)),
            front.iter().map(|point| (point.values.money.parts(), point.values.fluid.0)).collect(),
        ),
        limits,
        kept,
        new_sizes: (1..=2).filter_map(new).collect(),
    }
}

/// Where the second answers are worse than the first.
fn worse(than: &Answers, answers: &Answers) -> Vec<String> {
    let mut worse = Vec::new();
    for (budget, waits) in &than.budgets {
        let then = answers.budgets.iter().rfind(|(other, _)| other <= budget).expect("a plan that buys nothing");
        if then.1 > *waits {
            worse.push(format!("at a budget of {budget}: {then:?}, not {waits:?}"));
        }
    }
    if answers.fluid.0 > than.fluid.0 {
        worse.push(format!("waiting on the curve of fluid: {:?}", answers.fluid.0));
    } else if answers.fluid.0 == than.fluid.0 {
        let no_dearer = |point: &(i64, i64)| answers.fluid.1.iter().any(|it| it.0 <= point.0 && it.1 <= point.1);
        worse.extend(than.fluid.1.iter().filter(|point| !no_dearer(point)).map(|point| format!("fluid: {point:?}")));
    }
    for (limit, rank) in &than.limits {
        if answers.limits[limit] > *rank {
            worse.push(format!("{limit:?}: {:?}, not {rank:?}", answers.limits[limit]));
        }
    }
    let pairs = |name: &'static str, of: &[AnswerRank], other: &[AnswerRank]| {
        let worse = of.iter().zip(other).enumerate().filter(|(_, (than, then))| then > than);
        worse.map(|(at, pair)| format!("{name} {}: {pair:?}", at + 1)).collect::<Vec<_>>()
    };
    worse.extend(pairs("kept", &than.kept, &answers.kept));
    worse.extend(pairs("new sizes", &than.new_sizes, &answers.new_sizes));
    worse
}

/// A small project that every question takes, with coarse new sizes.
fn project(seed: u64) -> Project {
    let mut files = small_files(seed);
    files.survey.truncate(3);
    for limit in ["max_vessel_types", "max_suppliers", "spare_pct"] {
        files.settings.remove(limit);
    }
    let (mut project, _) = judged(&files);
    project.settings.size_round = RoundTo(Length::at_least_zero(25.0));
    project.settings.gap_pct = Percent(0.0);
    // With tanks for leftovers only, a lot without the vessel may have a tank, which can be better.
    project.settings.tanks = Tanks::WhenCheaper;
    project
}

#[test]
fn changing_nothing_changes_no_answer_and_a_piece_more_or_a_vessel_less_works_one_way() {
    let (mut better, mut dearer, mut sizes) = (0, 0, 0);
    for seed in 700..700 + sampled(60) {
        let project = project(seed);
        let now = answers(&project);
        assert_eq!(answers(&project.clone()), now, "seed {seed}: nothing changed");
        let of = seed as usize % project.stock.vessels.len();
        let id = &project.stock.vessels[of].id;
        let mut more = project.clone();
        more.stock.vessels[of].on_hand += 1;
        // A vessel to be had is a proportion for new sizes as before, and its kind counts in use.
        let then = answers(&more);
        assert_eq!(worse(&now, &then), Vec::<String>::new(), "seed {seed}: one more free piece of {id}");
        better += usize::from(then != now);
        let mut fewer = project.clone();
        let vessel = rehouse::stock::VesselId::at(of);
        fewer.stock.offers.retain(|offer| offer.vessel != vessel);
        let gone = &mut fewer.stock.vessels[of];
        (gone.on_hand, gone.on_order, gone.reserve) = (0, 0, 0);
        let without = Answers { new_sizes: Vec::new(), ..answers(&fewer) };
        assert_eq!(worse(&without, &now), Vec::<String>::new(), "seed {seed}: without {id}");
        dearer += usize::from(without.limits != now.limits);
        sizes += now.new_sizes.len();
    }
    let often = better > 20 && dearer > 20 && sizes > 60;
    assert!(!tries_all() || often, "{better} other with a piece, {dearer} without a vessel, {sizes} with new sizes");
}

/// A file, with lots in an order of their own, where they stand in the order of the survey: those that a cell lists, and those that
/// one number asks about.
fn sorted(text: &str) -> String {
    let cell = |cell: &str| cell.split('|').sorted().join("|");
    let mut lines: Vec<String> = text.lines().map(|line| line.split(',').map(cell).join(",") + "\n").collect();
    if text.starts_with("catalogNumber") {
        lines[1..].sort_by_cached_key(|line| line.split(',').take(2).join(","));
    }
    lines.concat()
}

/// The files of a project in a folder.
fn written(files: &ProjectTables) -> TestProject {
    files.texts().into_iter().fold(TestProject::new(), |case, (name, text)| case.file(&name, text))
}

/// Each question as it is asked of the program: command and options.
const ASKED: [&[&str]; 9] = [
    &["curve", "--of", "budget"],
    &["curve", "--of", "fluid"],
    &["curve", "--of", "kinds"],
    &["curve", "--of", "suppliers"],
    &["sizes"],
    &["sizes", "--keep", "2"],
    &["sizes", "--new", "1", "--set", "sizes.round_mm=25"],
    &["sizes", "--offer", "LIST"],
    &["why"],
];

#[test]
fn the_order_of_rows_changes_no_byte_of_an_answer() {
    let mut lines = 0;
    for seed in (800..800 + sampled(5)).rev() {
        let mut files = small_files(seed);
        for limit in ["max_vessel_types", "max_suppliers", "spare_pct"] {
            files.settings.remove(limit);
        }
        let mut other = files.clone();
        let mut n = XorShift::from(seed);
        [&mut other.survey, &mut other.stock, &mut other.suppliers].into_iter().for_each(|table| n.shuffle(table));
        let [case, other] = [&files, &other].map(written);
        // The list of a supplier is the same file for both.
        let list = case.project().join("vessels.csv");
        let key = files.survey[0]["catalogNumber"].clone();
        for words in ASKED {
            let options: Vec<&str> = words[1..]
                .iter()
                .map(|word| if *word == "LIST" { list.to_str().expect("a name") } else { word })
                .chain(["--format", "csv"])
                .collect();
            let answer = |case: &TestProject| {
                if words[0] == "why" {
                    let project = case.project();
                    let all = ["why", &key, "--thresholds", "--format", "csv", "--in"].map(Path::new);
                    return TestProject::run(&[&all[..], &[&project]].concat());
                }
                ran(case, words[0], &options)
            };
            let (one, then) = (answer(&case), answer(&other));
            assert_eq!((one.code, then.code), (0, 0), "seed {seed}, {words:?}: {}{}", one.stderr, then.stderr);
            assert_eq!(sorted(&one.stdout), sorted(&then.stdout), "seed {seed}, {words:?}");
            lines += one.stdout.lines().count();
        }
        let (one, then) = (answer_files(&case), answer_files(&other));
        assert_eq!(one, then, "seed {seed}");
        lines += one.len();
    }
    assert!(!tries_all() || lines > 200, "{lines} lines");
}

/// The files of a plan's folder that hold answers.
fn answer_files(case: &TestProject) -> BTreeMap<String, String> {
    let (project, out) = (case.project(), case.out());
    let words = [Path::new("plan"), &project, Path::new("--questions"), Path::new("all"), Path::new("--out"), &out];
    let ran = TestProject::run(&words);
    assert_eq!(ran.code, 0, "{}", ran.stderr);
    let files = std::fs::read_dir(&out).expect("a folder").flatten();
    let named = files.map(|file| (file.file_name().to_string_lossy().into_owned(), file.path()));
    let answers = named.filter(|(name, _)| name.starts_with("curve") || name == "sizes.csv");
    answers.map(|(name, path)| (name, sorted(&std::fs::read_to_string(path).expect("a file")))).collect()
}

#[test]
fn a_negative_budget_an_unknown_lot_and_an_empty_list_are_refused_with_a_cure_by_every_question() {
    let case = TestProject::new()
        .file("specimens.csv", "catalogNumber,length_mm,width_mm,height_mm,fluid\nA-1,40,20,20,ethanol-70\n")
        .file(
            "vessels.csv",
            "vessel,form,inner_diameter_mm,inner_height_mm,material,closure,unit_price\n\
             J-1,cylinder,60,80,borosilicate,pp-cap-ptfe,2\nJ-2,cylinder,80,90,borosilicate,pp-cap-ptfe,3\n",
        )
        .file("empty.csv", "")
        .file("header.csv", "vessel,form,inner_diameter_mm,inner_height_mm,material,closure,unit_price\n");
    let (project, empty, header) = (case.project(), "empty.csv", "header.csv");
    let path = |name: &str| project.join(name).to_str().expect("a name").to_owned();
    let (project_name, empty, header) = (path(""), path(empty), path(header));
    let refused = |words: &[&str], cure: &str| {
        let words: Vec<&Path> = words.iter().map(Path::new).collect();
        let ran = TestProject::run(&words);
        assert!(matches!(ran.code, 1 | 2), "{words:?}: {}", ran.code);
        assert_eq!(ran.stdout, "", "{words:?}");
        let told = ran.stderr.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(told.contains(cure), "{words:?}: {told}");
    };
    let in_project = |words: &[&'static str]| words.iter().map(|word| (*word).to_owned()).collect::<Vec<String>>();
    for words in [
        &["plan", "DIR"][..],
        &["curve", "DIR"],
        &["curve", "DIR", "--of", "fluid"],
        &["curve", "DIR", "--of", "suppliers"],
        &["sizes", "DIR"],
        &["sizes", "DIR", "--keep", "1"],
        &["sizes", "DIR", "--new", "1"],
        &["why", "A-1", "--in", "DIR"],
        &["why", "A-1", "--thresholds", "--in", "DIR"],
    ] {
        let words = in_project(words);
        let words: Vec<&str> = words.iter().map(|word| if word == "DIR" { &project_name } else { &word[..] }).collect();
        refused(&[&words[..], &["--budget", "-3"]].concat(), "write an amount of money with at most 4 decimals");
    }
    refused(&["why", "A-2", "--in", &project_name], "no lot \"A-2\" in the survey → did you mean A-1?");
    refused(&["why", "nothing-like-it", "--in", &project_name], "write a catalogNumber of the survey");
    refused(&["why", "A-1", "--in", &project_name, "--instead", "J-3"], "did you mean J-");
    refused(&["sizes", &project_name, "--keep", "3"], "the stock list has 2 kinds of vessel → write 2 or less");
    refused(&["sizes", &project_name, "--keep", "0"], "write a whole number of kinds, 1 or more");
    refused(&["sizes", &project_name, "--new", "0"], "write a whole number of sizes from 1 to 20");
    refused(&["curve", &project_name, "--steps", "0"], "write a whole number of lines from 1 to 10000");
    refused(&["sizes", &project_name, "--offer", &empty], "this file is empty → the first line names the columns");
    refused(&["sizes", &project_name, "--offer", &header], "has no row that could be bought → give each row a vessel");
    refused(&["compare", &project_name, "no-such-folder"], "→");
}
