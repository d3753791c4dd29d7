use super::*;

fn date(text: &str) -> NaiveDate {
    text.parse().unwrap()
}

const TEXT: &str = "# head\ntimezone = 'Europe/Oslo' # home\n\n[nights] # times\nbedtime = \"22:30\"   # lights out\nfri = { bedtime = \"23:15\" } # late\n\n# the wind-down\n[evening]\nminutes = 8 # five to ten\n";

#[test]
fn print() {
    println!("{}", set_value(TEXT, &["evening", "minutes"], 12).unwrap());
    println!("{}", set_value(TEXT, &["evening", "settle"], 12).unwrap());
    println!(
        "{}",
        set_value(TEXT, &["nights", "fri", "wake"], "07:00").unwrap()
    );
    println!(
        "{}",
        set_value(TEXT, &["nights", "sat", "wake"], "07:00").unwrap()
    );
    println!("{}", set_value(TEXT, &["born"], 1991).unwrap());
    println!("{}", set_value(TEXT, &["page", "on"], false).unwrap());
    println!("{}", remove_value(TEXT, &["nights", "fri"]).unwrap());
    let one = add_row(
        TEXT,
        &["nights", "on"],
        &[
            ("date", Some(date_value(date("2026-12-24")))),
            ("wake", Some("09:00".into())),
        ],
    )
    .unwrap();
    println!("{one}");
    let two = put_dated_row(
        &one,
        &["nights", "on"],
        ("date", date("2026-12-26")),
        &[("wake", Some("09:00".into()))],
    )
    .unwrap();
    println!("{two}");
    println!(
        "{}",
        remove_dated_row(&two, &["nights", "on"], ("date", date("2026-12-24"))).unwrap()
    );
    println!(
        "{}",
        crate::pure::settings::new_settings_text(&crate::pure::settings::Settings::default())
    );
}
