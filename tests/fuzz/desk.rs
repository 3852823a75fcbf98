//! What the desk alone reads from outside: the register as a table.

use combgate_desk::register;
use combgate_tests::demo::read;
use combgate_tests::fuzz::Target;

/// The desk's own targets.
pub(crate) fn all() -> Vec<Target> {
    vec![Target {
        name: "members",
        seeds: vec![
            read("cooperative/members.csv"),
            "number,name\r\nM1,\"Asha \"\"Nyuki\"\" Mrembwe\"\r\nM2,'=Baraka\r\n".to_owned(),
        ],
        run: members,
    }]
}

/// What is read is written again as it was read; what is refused names its line.
fn members(input: &str) {
    match register::read(input) {
        Ok(members) => {
            let again = register::write(&members).unwrap();
            assert_eq!(register::read(&again).unwrap(), members);
        }
        Err(error) => {
            let message = error.to_string();
            assert!(message.chars().count() < 700, "{message}");
            assert!(!message.chars().any(char::is_control), "{message:?}");
        }
    }
}
