//! System limits: memory, open files, disks, closed outputs. The exit code is always 0, 1, 2 or 130.

use std::fs;
use std::path::Path;
use std::process::{Command, Output};

use rehouse::output::recover;

use crate::support::{TestProject, tried};

/// Runs the program in a shell, after the shell commands `before`.
fn within(before: &str, arguments: &[&Path], after: &str) -> Output {
    let command = format!("{before} exec \"$0\" \"$@\" {after}");
    Command::new("sh").args(["-c", &command, env!("CARGO_BIN_EXE_rehouse")]).args(arguments).output().expect("a shell")
}

fn expected(output: &Output, what: &str) {
    let said = String::from_utf8_lossy(&output.stderr);
    assert!(matches!(output.status.code(), Some(0..=2)), "{what}: {:?}\n{said}", output.status);
    assert!(!said.contains("panicked"), "{what}: {said}");
}

#[test]
fn within_any_memory_limit_it_plans_or_reports_the_want_of_memory() {
    let around = tempfile::tempdir().expect("a folder");
    let out = around.path().join("out");
    let step = if std::env::var_os("REHOUSE_LARGE").is_some() { 1 } else { 6 };
    let (mut planned, mut refused) = (0, 0);
    // Answers are sought on all cores, and each thread reserves memory of its own.
    let alone = (24..200).step_by(step).map(|megabytes| (megabytes, "none"));
    let with_answers = [60, 120, 180, 240, 800].map(|megabytes| (megabytes, "some"));
    for (megabytes, questions) in alone.chain(with_answers) {
        let limit = format!("ulimit -v {};", megabytes * 1024);
        let plan = ["plan", "demo-data", "--questions", questions, "--out"].map(Path::new);
        let output = within(&limit, &[&plan[..], &[&out]].concat(), "");
        expected(&output, &limit);
        let said = String::from_utf8_lossy(&output.stderr);
        match output.status.code() {
            Some(0) => planned += 1,
            _ => {
                assert!(said.contains("memory") || said.contains("cannot"), "{limit} {said}");
                refused += 1;
            }
        }
        recover(&out).expect("what was left is put right");
        if out.exists() {
            let audit = within("", &["audit".as_ref(), &out], "");
            assert!(audit.status.success(), "{limit} {}", String::from_utf8_lossy(&audit.stdout));
        }
        let names: Vec<_> =
            fs::read_dir(around.path()).expect("a folder").flatten().map(|entry| entry.file_name()).collect();
        assert!(names.iter().all(|name| name == "out"), "{names:?}");
    }
    tried("limits on memory", planned + refused, &format!("{planned} planned, {refused} refused"));
    assert!(planned > 0 && refused > 0);
}

#[test]
fn with_few_open_files_or_closed_outputs_it_ends_with_exit_code_0_1_or_2() {
    let around = tempfile::tempdir().expect("a folder");
    for files in 3..16 {
        let out = around.path().join(format!("out-{files}"));
        let limit = format!("ulimit -n {files};");
        let output = within(&limit, &["plan".as_ref(), "demo-data".as_ref(), "--out".as_ref(), &out], "");
        // The shell itself needs some open files.
        if !matches!(output.status.code(), Some(126 | 127)) {
            expected(&output, &limit);
        }
    }
    for (after, code) in [
        (">&-", &[0][..]),
        ("2>&-", &[0]),
        (">&- 2>&-", &[0]),
        ("<&- >&- 2>&-", &[0]),
        (">/dev/full", &[2]),
        ("2>/dev/full", &[0]),
        (">/dev/full 2>/dev/full", &[2]),
        ("| head -1", &[0]),
    ] {
        for arguments in [
            &["plan", "demo-data"][..],
            &["check", "demo-data"],
            &["plan", "demo-data", "--format", "json"],
            &["why", "A0302", "--in", "demo-data"],
            &["schema"],
            &["rules"],
            &["tank", "--specimen", "660x110x460", "--fluid", "formalin-10"],
        ] {
            let arguments: Vec<&Path> = arguments.iter().map(Path::new).collect();
            let command = if after.starts_with('|') { "" } else { "exec" };
            let output = Command::new("sh")
                .args(["-c", &format!("{command} \"$0\" \"$@\" {after}"), env!("CARGO_BIN_EXE_rehouse")])
                .args(&arguments)
                .output()
                .expect("a shell");
            expected(&output, after);
            assert!(code.contains(&output.status.code().unwrap_or(-1)), "{arguments:?} {after}: {:?}", output.status);
        }
    }
}

#[test]
fn a_disk_that_is_full_at_any_size_leaves_the_old_plan_or_none() {
    let case = TestProject::new()
        .file("specimens.csv", "catalogNumber,length_mm,width_mm,height_mm,fluid\nA-1,40,14,12,ethanol-70\n")
        .file("vessels.csv", "vessel,form,inner_diameter_mm,inner_height_mm,material,closure,on_hand\njar,cylinder,60,110,borosilicate,pp-cap-ptfe,5\n");
    let (project, out) = (case.project(), case.out());
    let sizes = if std::env::var_os("REHOUSE_LARGE").is_some() { 100 } else { 25 };
    for blocks in 0..sizes {
        let limit = format!("trap '' XFSZ; ulimit -f {blocks};");
        let output = within(&limit, &["plan".as_ref(), &project, "--replace".as_ref(), "--out".as_ref(), &out], "");
        expected(&output, &limit);
        recover(&out).expect("what was left is put right");
        if out.exists() {
            case.audit();
        } else {
            assert_eq!(output.status.code(), Some(2), "{limit}");
        }
    }
    tried("limits on the size of a file", sizes, "always the old plan or none, and a good audit");
}

/// Runs a script of a shell where a file system of 8 MB is at `$1`, of which the script may fill all but `$2` kB; `$0` is the
/// program. `None` where the system lets nobody have one.
fn on_a_small_disk(script: &str, disk: &Path, arguments: &[&Path], left: u32) -> Option<Output> {
    let whole = format!(
        "mount -t tmpfs -o size=8m none \"$1\" || exit 77\n\
         fill() {{ head -c $(( ($(df -k --output=avail \"$1\" | tail -1) - $2) * 1024 )) /dev/zero > \"$1/filler\"; }}\n{script}"
    );
    let output = Command::new("unshare")
        .args(["-rm", "sh", "-c", &whole, env!("CARGO_BIN_EXE_rehouse")])
        .arg(disk)
        .arg(left.to_string())
        .args(arguments)
        .output()
        .ok()?;
    let is_refused = output.status.code() == Some(77) || String::from_utf8_lossy(&output.stderr).contains("unshare:");
    (!is_refused).then_some(output)
}

#[test]
fn a_disk_with_room_for_any_part_of_a_plan_keeps_the_old_plan_or_takes_the_new() {
    let survey = "catalogNumber,length_mm,width_mm,height_mm,fluid\nA-1,40,14,12,ethanol-70\n";
    let stock = "vessel,form,inner_diameter_mm,inner_height_mm,material,closure,on_hand\njar,cylinder,60,110,borosilicate,pp-cap-ptfe,5\n";
    let [old, new] = ["jar", "pot"]
        .map(|name| TestProject::new().file("specimens.csv", survey).file("vessels.csv", stock.replace("jar", name)));
    let disk = tempfile::tempdir().expect("a folder");
    // With `fill` all but some of the disk is taken when the second plan is written.
    let script = "\"$0\" plan \"$3\" --out \"$1/out\" || exit 78\nfill \"$@\"\n\
        \"$0\" plan \"$4\" --out \"$1/out\"; code=$?\nrm \"$1/filler\"\n\
        \"$0\" audit \"$1/out\" || exit 79\nls -A \"$1\"; grep -h A-1 \"$1/out/placements.csv\"; exit $code";
    let n = if std::env::var_os("REHOUSE_LARGE").is_some() { 100 } else { 8 };
    let (mut kept, mut replaced) = (0, 0);
    for size in 0..n {
        // A plan takes some hundreds of kB.
        let left = size * 1600 / n;
        let Some(output) = on_a_small_disk(script, disk.path(), &[&old.project(), &new.project()], left) else {
            tried("full disks", 0, "this system lets nobody have a file system of their own");
            return;
        };
        let said = String::from_utf8_lossy(&output.stdout).into_owned();
        let (is_old, is_new) = (said.contains(",jar,"), said.contains(",pot,"));
        let told = String::from_utf8_lossy(&output.stderr).into_owned();
        let as_said = match output.status.code() {
            Some(0) => is_new && !is_old,
            Some(2) => is_old && !is_new,
            _ => false,
        };
        assert!(as_said && !told.contains("panicked"), "{left} kB: {:?}\n{said}\n{told}", output.status);
        assert!(!said.contains("unfinished") && !said.contains("set-aside"), "{left} kB: {said}");
        (kept, replaced) = (kept + usize::from(is_old), replaced + usize::from(is_new));
    }
    let result = format!("{kept} times the whole old plan, {replaced} times the whole new one");
    tried("full disks", n as usize, &result);
    assert!(kept > 0 && replaced > 0);
}

#[test]
fn where_no_process_may_be_started_it_plans_or_says_so() {
    use std::os::unix::fs::PermissionsExt;
    // Root may start as many as it likes, so the program runs as nobody, who must be able to reach it.
    let around = tempfile::tempdir().expect("a folder");
    fs::set_permissions(around.path(), fs::Permissions::from_mode(0o777)).expect("it is open to all");
    let program = around.path().join("rehouse");
    fs::copy(env!("CARGO_BIN_EXE_rehouse"), &program).expect("the program");
    let project = around.path().join("project");
    fs::create_dir(&project).expect("a folder");
    for name in ["specimens.csv", "vessels.csv", "suppliers.csv", "settings.toml", "fluid-stock.csv"] {
        fs::copy(Path::new("demo-data").join(name), project.join(name)).expect("the demonstration");
    }
    let is_root = Command::new("id").arg("-u").output().is_ok_and(|output| output.stdout == b"0\n");
    let nobody = if is_root { "setpriv --reuid=65534 --regid=65534 --clear-groups" } else { "" };
    let (mut planned, mut refused) = (0, 0);
    for most in 0..8 {
        let out = around.path().join(format!("out-{most}"));
        let command = format!("{nobody} prlimit --nproc={most}");
        let mut words = command.split_whitespace();
        let mut command = Command::new(words.next().expect("a program"));
        let arguments = [program.as_path(), "plan".as_ref(), &project, "--out".as_ref(), &out];
        let output = command.args(words).args(arguments).output().expect("setpriv and prlimit");
        expected(&output, &format!("{most} processes"));
        match output.status.code() {
            Some(0) => {
                let audit = within("", &["audit".as_ref(), &out], "");
                assert!(audit.status.success(), "{}", String::from_utf8_lossy(&audit.stdout));
                planned += 1;
            }
            _ => {
                assert!(!String::from_utf8_lossy(&output.stderr).is_empty() && !out.exists());
                refused += 1;
            }
        }
    }
    tried("limits on processes", planned + refused, &format!("{planned} planned, {refused} refused"));
}
