//! What customers wrote to the shop, or the shop about them, gets out neither by a photo's name nor by a text: each private value
//! of a job is put into each place that its page reads from, and every byte of the output is searched.

use crate::builder::{PHONE_PHOTO, TestShop};
use crate::privacy::PRIVATE_JOB;

const JOB: &str = "content/jobs/26-077 Quarrel gobbler";

/// Values of the job, and how they are spelled in the texts.
const VALUES: [(&str, &str, &str); 9] = [
    ("phone", "417-555-0177", "417 555 0177"),
    ("email", "canary@plover.example", "canary@plover.example"),
    ("address", "77 Canary Lane", "77 canary lane"),
    ("number", "CNR-26-0077", "cnr 26 0077"),
    ("permit", "PCANARY-9", "pcanary 9"),
    ("place", "Canary County", "canary county"),
    ("hunter", "Bo Canaryson", "Bo Canaryson"),
    ("licence", "LC-880077", "lc 880077"),
    ("bench-note", "the canary plate goes under the base here", "the canary plate goes under the base here"),
];

fn job(texts: &str) -> String {
    let of = |key: &str| VALUES.iter().find(|(known, _, _)| *known == key).unwrap().1;
    let top: String = ["phone", "email", "address", "bench-note"]
        .iter()
        .map(|key| format!("{key} = \"{}\"\n", of(key)))
        .collect();
    let tag: String = ["number", "permit", "place", "hunter", "licence"]
        .iter()
        .map(|key| format!("{key} = \"{}\"\n", of(key)))
        .collect();
    format!(
        "customer = \"Ada Quarrel\"\npiece = \"Eastern wild turkey\"\nroute = \"turkey-full\"\n\
         taken-in = 2026-04-28\n{top}{texts}\n[tag]\n{tag}\n[[charge]]\nwhat = \"Half strut\"\namount = 695\n"
    )
}

/// Nothing of a value, however it is spelled, is in any file of the output.
fn is_nowhere(shop: &TestShop, said: &str) {
    let bare = |text: &str| -> String {
        text.chars().filter(|c| c.is_alphanumeric()).flat_map(char::to_lowercase).collect()
    };
    for (path, bytes) in shop.tree("public") {
        let text = String::from_utf8_lossy(&bytes);
        assert!(!text.contains(said) && !bare(&text).contains(&bare(said)), "{said:?} in {path}");
    }
}

#[test]
fn no_private_value_gets_out_by_a_note() {
    for (key, _, said) in VALUES {
        let shop = TestShop::healthy();
        shop.file(&format!("{JOB}/job.toml"), job(&format!("note = \"We wrote: {said}. Soon.\"\n")));
        let ran = shop.make(1).tells("private-in-text").tells("`note` holds").tells("26-077");
        assert!(!ran.err().contains(said), "{}", ran.err());
        is_nowhere(&shop, said);
        // The page is there and goes on without it.
        assert!(shop.private_page("26-077").unwrap().1.contains("Ada Q."), "{key}");
    }
}

#[test]
fn no_private_value_gets_out_by_a_photos_name() {
    for (key, _, said) in VALUES {
        let shop = TestShop::healthy();
        shop.file(&format!("{JOB}/job.toml"), job(""));
        shop.file(&format!("{JOB}/2026-05-06 front {said} left.jpg"), PHONE_PHOTO);
        let ran = shop.make(0);
        is_nowhere(&shop, said);
        let page = shop.private_page("26-077").unwrap().1;
        assert!(page.contains("<img"), "the photo is shown, {key}");
        // A name of many digits is no caption at all; every other is told.
        let told = ran.err().contains("private-in-caption");
        assert!(
            told || said.split(' ').any(|word| word.chars().filter(char::is_ascii_digit).count() > 4),
            "{key}"
        );
    }
}

#[test]
fn nor_by_any_other_words_of_its_page() {
    for (key, _, said) in VALUES {
        let shop = TestShop::healthy();
        let words = [
            format!("pose = \"like {said} please\"\n"),
            format!("[[discount]]\nwhat = \"for {said} here\"\namount = 5\n"),
            format!("[[paid]]\non = 2026-05-01\namount = 5\nhow = \"by {said} now\"\n"),
        ];
        // What stands under a heading comes behind the rest.
        let text =
            job(&words[0]).replace("Half strut", &format!("Work {said} again")) + &words[1] + &words[2];
        let text = text.replace("Eastern wild turkey", &format!("Turkey {said} bird"));
        shop.file(&format!("{JOB}/job.toml"), text);
        let ran = shop.make(1);
        for place in ["`pose`", "`piece`", "`[[charge]]`", "`[[discount]]`", "`[[paid]]`"] {
            assert!(ran.err().contains(&format!("{place} holds")), "{place} {key}: {}", ran.err());
        }
        is_nowhere(&shop, said);
    }
}

#[test]
fn nor_by_what_all_customers_of_a_route_read_nor_through_a_sealed_page() {
    let shop = TestShop::healthy();
    let route = "content/routes/turkey-full.toml";
    shop.file(&format!("{JOB}/job.toml"), job("sealed = true\nnote = \"It is from Canary County.\"\n"));
    let text = std::fs::read_to_string(shop.at(route)).unwrap();
    let (before, behind) = text.split_once("tells").unwrap();
    let line_end = behind.find('\n').unwrap();
    shop.file(route, format!("{before}tells = \"Bo Canaryson waits.\"{}", &behind[line_end..]));
    shop.make(1)
        .tells("`tells` holds the hunter's name")
        .tells(route)
        .tells("`note` holds the place of kill");
    is_nowhere(&shop, "Canaryson");
    // What was sealed is opened with the address that the board knows.
    let board = shop.run(&["board", "--json", "--as-of", crate::builder::TODAY]).out();
    assert!(board.contains("26-077"));
    let (folder, key) = board
        .split('"')
        .find_map(|part| part.strip_prefix("see/")?.split_once("/#"))
        .map(|(folder, key)| {
            (format!("see/{folder}/"), benchlight::door::model::PageKey::new(key.to_owned()))
        })
        .unwrap();
    let role = "index.html";
    let name = benchlight::door::seal::file::name(&key, role);
    let sealed = std::fs::read(shop.at("public").join(&folder).join(name)).unwrap();
    let page = String::from_utf8(benchlight::door::seal::file::opened(&key, role, &sealed).unwrap()).unwrap();
    assert!(page.contains("Ada Q.") && !page.to_lowercase().contains("canary"), "{page}");
}

#[test]
fn shapes_are_told_and_the_shops_own_are_fine() {
    let shop = TestShop::healthy();
    let job = "content/jobs/26-042 Ruell hen/job.toml";
    let text = std::fs::read_to_string(shop.at(job)).unwrap();
    let noted = |note: &str| shop.file(job, format!("note = \"{note}\"\n{text}"));
    noted(
        "Call 555-0100 or write to bench@hollow-ash.example. From $695, 10 5/16 in, on 2026-05-02, tag in hand.",
    );
    shop.make(0).tells_nothing();
    assert!(shop.private_page("26-042").unwrap().1.contains("555-0100"));
    // Somebody else's may be meant to stand there: told, and shown.
    noted("The plate maker is at 417-555-0199.");
    shop.make(0).tells("private-in-text").tells("`note` holds a phone number");
    assert!(shop.private_page("26-042").unwrap().1.contains("417-555-0199"));
    noted("Fine.");
    // A caption of either shape is left out, on a page of one piece and in the showroom.
    shop.file("content/jobs/26-042 Ruell hen/2026-05-07 ring 417 555 0199 first.jpg", PHONE_PHOTO);
    shop.file("content/showroom/turkey/half-strut/2 ask cy@tarn.example first.jpg", PHONE_PHOTO);
    shop.make(0).tells("holds a phone number").tells("holds an email address");
    is_nowhere(&shop, "417 555 0199");
    is_nowhere(&shop, "cy@tarn.example");
}

#[test]
fn the_job_of_canaries_is_told_nothing_of() {
    // Short words of one letter row in every field: nothing that its page says holds any of them.
    let shop = TestShop::healthy();
    shop.file(&format!("{JOB}/job.toml"), PRIVATE_JOB);
    shop.make(0).tells_nothing();
}
