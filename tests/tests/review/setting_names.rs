//! A setting and its values have one name: in the host, in the manual, and on the command line.

use crate::support::command::call;
use overbar_tests::host::{ClapRig, Host};

/// What stands between slanting marks at the beginning of a cell.
fn slanted(cell: &str) -> &str {
    cell.trim().trim_start_matches('*').split('*').next().unwrap()
}

#[test]
fn settings_have_one_name_everywhere() {
    let manual = concat!(env!("CARGO_MANIFEST_DIR"), "/../plugin/manual/settings.md");
    let manual = std::fs::read_to_string(manual).unwrap();
    let mut host = ClapRig::linked().unwrap();
    let parameters = host.parameters();
    for parameter in &parameters {
        assert!(manual.contains(&format!("*{}*", parameter.name)), "{}", parameter.name);
    }
    let help = call("overbar", &["review", "--help"]).out;
    let (_, same) = manual.split_once("## The same on the command line").unwrap();
    let rows: Vec<&str> = same.lines().filter(|line| line.starts_with("| *")).collect();
    assert_eq!(rows.len(), 5);
    for row in rows {
        let (setting, option) = row.trim_matches('|').split_once('|').unwrap();
        let name = slanted(setting);
        let parameter = parameters.iter().find(|p| p.name == name).unwrap();
        let option = option.split('`').nth(1).unwrap().split(' ').next().unwrap();
        let described = help.lines().find(|line| line.contains(&format!("{option} <"))).unwrap();
        assert!(described.split('>').nth(1).unwrap().trim().starts_with(name), "{described}");
        if parameter.max == 2.0 {
            let value = |value| host.main().there_and_back(parameter.id, value).unwrap().0;
            let values = [0.0, 1.0, 2.0].map(value).join(", ");
            assert!(setting.ends_with(&format!("*: {values} ")), "{setting}: {values}");
        }
    }
}
