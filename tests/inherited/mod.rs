//! No number and no address comes to another customer: deleted folders, restored copies, copies made on the phone, by the real program.
//! Random histories over the rules alone are in `histories`.

mod histories;

use crate::builder::{Ran, TODAY, TestShop};
use std::fs;

const NUMBERS: &str = "content/numbers.txt";
const FENN: &str = "content/jobs/26-041 Fenn gobbler";

/// Takes in a piece and gives its number and the path of its page.
fn intake(shop: &TestShop, customer: &str) -> (String, String) {
    let flags = ["--customer", customer, "--phone", "555-0190", "--piece", "Hen", "--route", "turkey-full"];
    let out = shop.run(&[&["intake", "--as-of", TODAY], &flags[..]].concat()).exits(0).out();
    let line = out.lines().find(|line| line.contains("/see/")).expect("the address").to_owned();
    let (number, web) = line.split_once(": ").unwrap();
    (number.to_owned(), format!("see/{}", web.split_once("/see/").unwrap().1))
}

/// The folder of a job, from the shop's.
fn folder(shop: &TestShop, number: &str) -> String {
    let entries = fs::read_dir(shop.at("content/jobs")).unwrap();
    let mut names = entries.map(|entry| entry.unwrap().file_name().into_string().unwrap());
    format!("content/jobs/{}", names.find(|name| name.split(' ').next() == Some(number)).unwrap())
}

fn remove(shop: &TestShop, folder: &str) {
    fs::remove_dir_all(shop.at(folder)).unwrap();
}

fn typed(customer: &str, taken_in: &str) -> String {
    format!("customer = \"{customer}\"\npiece = \"Hen\"\nroute = \"turkey-full\"\ntaken-in = {taken_in}\n")
}

fn make(shop: &TestShop) -> Ran {
    shop.run(&["make", "--as-of", TODAY])
}

fn page_of(shop: &TestShop, number: &str) -> Option<String> {
    shop.private_page(number).map(|(path, _)| path)
}

#[test]
fn the_number_and_address_of_a_deleted_job_go_to_nobody_else() {
    for forgotten in ["", ".benchlight", NUMBERS] {
        let shop = TestShop::healthy();
        let (number, page) = intake(&shop, "Una Brill");
        shop.make(0);
        assert!(shop.at("public").join(&page).join("index.html").exists());
        remove(&shop, &folder(&shop, &number));
        match forgotten {
            "" => {}
            NUMBERS => fs::remove_file(shop.at(NUMBERS)).unwrap(),
            other => remove(&shop, other),
        }
        let (next, other) = intake(&shop, "Zed Orlop");
        assert_eq!(next == number, forgotten == NUMBERS, "{next}, without {forgotten:?}");
        assert_ne!(page, other, "not even where no trace is left");
        shop.run(&["make", "--as-of", TODAY]);
        assert!(!shop.at("public").join(&page).exists(), "her tag opens nothing");
        assert!(shop.at("public").join(&other).join("index.html").exists());
    }
}

#[test]
fn a_number_that_was_given_is_refused_by_name() {
    let shop = TestShop::healthy();
    let (number, _) = intake(&shop, "Una Brill");
    remove(&shop, &folder(&shop, &number));
    let flags = ["intake", "--customer", "Zed Orlop", "--piece", "Hen", "--route", "turkey-full"];
    let again = [&flags[..], &["--as-of", TODAY, "--number", &number]].concat();
    shop.run(&again).exits(2).tells("already, or there was one").tells("`26-044`");
}

#[test]
fn a_word_is_drawn_for_each_piece_and_never_published() {
    let shop = TestShop::healthy();
    let (one, page) = intake(&shop, "Una Brill");
    let (other, _) = intake(&shop, "Zed Orlop");
    let word = |number: &str| {
        let text = fs::read_to_string(shop.at(&format!("{}/job.toml", folder(&shop, number)))).unwrap();
        text.lines()
            .find_map(|line| line.strip_prefix("draw "))
            .unwrap()
            .split('"')
            .nth(1)
            .unwrap()
            .to_owned()
    };
    let words = [word(&one), word(&other)];
    assert_ne!(words[0], words[1]);
    make(&shop).exits(0).tells_nothing();
    assert!(shop.at("public").join(&page).join("index.html").exists(), "the tag leads to the page");
    let numbers = fs::read_to_string(shop.at(NUMBERS)).unwrap();
    for (path, bytes) in shop.tree("public").into_iter().chain([("numbers.txt".to_owned(), numbers.into())]) {
        let text = String::from_utf8_lossy(&bytes).to_lowercase();
        for word in &words {
            assert!(!text.contains(word) && !text.contains(&word.replace('-', "")[..16]), "{path}");
        }
        // Nor does the list hold a name, a phone or the folder of a page.
        let private = ["brill", "orlop", "fenn", "5550190", "555-0190"];
        assert!(path != "numbers.txt" || private.iter().all(|word| !text.contains(word)), "{text}");
        assert!(path != "numbers.txt" || !text.contains(page.trim_matches('/').trim_start_matches("see/")));
    }
}

#[test]
fn a_number_typed_again_for_another_customer_is_held_back_until_its_address_differs() {
    for forgotten in ["", ".benchlight"] {
        let shop = TestShop::healthy();
        shop.make(0);
        let hers = page_of(&shop, "26-041").unwrap();
        shop.run(&["tag", "26-041", "--as-of", TODAY]).exits(0);
        remove(&shop, FENN);
        make(&shop).exits(0);
        if !forgotten.is_empty() {
            remove(&shop, forgotten);
        }
        let file = "content/jobs/26-041 Orlop hen/job.toml";
        shop.file(file, typed("Zed Orlop", "2026-05-19"));
        make(&shop).exits(1).tells("(address-given)").tells("write `link = 2`").tells("content/numbers.txt");
        assert!(!shop.at("public").join(&hers).exists(), "her tag opens nothing");
        shop.run(&["proof", "--as-of", TODAY]).exits(1).tells("(address-given)");
        shop.run(&["tag", "26-041", "--as-of", TODAY]).exits(2).tells("needs mending");
        // What it says to do helps, and the new tag is noted in its turn.
        shop.file(file, typed("Zed Orlop", "2026-05-19") + "link = 2\n");
        make(&shop).exits(0);
        let his = page_of(&shop, "26-041").unwrap();
        assert!(his != hers && !shop.at("public").join(&hers).exists());
        shop.run(&["tag", "26-041", "--as-of", TODAY]).exits(0);
        shop.file(file, typed("Ida Quist", "2026-05-20") + "link = 1\n");
        make(&shop).exits(1).tells("write `link = 3`");
    }
}

#[test]
fn a_record_that_is_corrected_is_still_the_same_customers() {
    let shop = TestShop::healthy();
    shop.make(0);
    let hers = page_of(&shop, "26-041").unwrap();
    shop.run(&["tag", "26-041", "--as-of", TODAY]).exits(0);
    let file = format!("{FENN}/job.toml");
    let sound = |shop: &TestShop| {
        make(shop).exits(0);
        assert_eq!(page_of(shop, "26-041").as_ref(), Some(&hers));
    };
    shop.edit(&file, "Ada Fenn", "Ada Fennimore");
    sound(&shop);
    // Noted under the corrected name, another word of it may be corrected, too.
    shop.run(&["tag", "26-042", "--as-of", TODAY]).exits(0);
    shop.edit(&file, "Ada Fennimore", "Adda Fennimore");
    sound(&shop);
    fs::rename(shop.at(FENN), shop.at("content/jobs/26-041 the big one")).unwrap();
    sound(&shop);
}

#[test]
fn a_copy_brought_back_gives_no_address_twice() {
    let shop = TestShop::healthy();
    let before = shop.tree("content");
    let (number, page) = intake(&shop, "Una Brill");
    shop.make(0);
    remove(&shop, "content");
    for (path, bytes) in &before {
        shop.file(&format!("content/{path}"), bytes);
    }
    assert!(!shop.at(NUMBERS).exists(), "the copy is older than the list");
    let (again, other) = intake(&shop, "Zed Orlop");
    assert_eq!(again, number, "nothing tells that it was given");
    assert_ne!(page, other);
    make(&shop);
    assert!(!shop.at("public").join(&page).exists() && shop.at("public").join(&other).exists());
}

#[test]
fn a_folder_copied_on_the_phone_shows_nobody_anothers_page() {
    let shop = TestShop::healthy();
    let (number, page) = intake(&shop, "Una Brill");
    let hers = folder(&shop, &number);
    let text = fs::read_to_string(shop.at(&format!("{hers}/job.toml"))).unwrap();
    // Under a number of its own the copy, word and all, has an address of its own.
    shop.file("content/jobs/26-060 Orlop hen/job.toml", text.replace("Una Brill", "Zed Orlop"));
    make(&shop).exits(0);
    let his = page_of(&shop, "26-060").unwrap();
    assert!(!his.starts_with(&page) && shop.at("public").join(&page).join("index.html").exists());
    // Under her number, after hers is gone: held back. The phone is another one, the day the same.
    remove(&shop, "content/jobs/26-060 Orlop hen");
    remove(&shop, &hers);
    let retyped = text.replace("Una Brill", "Zed Orlop").replace("555-0190", "555-0191");
    shop.file(&format!("content/jobs/{number} Orlop hen/job.toml"), retyped);
    make(&shop).exits(1).tells("(address-given)");
    for (path, bytes) in shop.tree("public") {
        assert!(!String::from_utf8_lossy(&bytes).contains("Zed O."), "{path}");
    }
}

#[test]
fn second_versions_and_broken_parts_of_the_list_count() {
    let shop = TestShop::healthy();
    shop.run(&["tag", "26-041", "--as-of", TODAY]).exits(0);
    let list = fs::read_to_string(shop.at(NUMBERS)).unwrap();
    remove(&shop, FENN);
    shop.file("content/jobs/26-041 Orlop hen/job.toml", typed("Zed Orlop", "2026-05-19"));
    for copy in ["numbers.sync-conflict-20260520-091233-ABCDEFG.txt", "numbers (1).txt", "Numbers 2.txt"] {
        shop.file(NUMBERS, "# nothing yet\n");
        shop.file(&format!("content/{copy}"), &list);
        make(&shop).exits(1).tells("both are read").tells("(address-given)");
        fs::remove_file(shop.at(&format!("content/{copy}"))).unwrap();
        make(&shop).exits(0);
    }
    // A line that was cut off: its number is not given again, and what is there stays byte for byte.
    let cut = "26-050 abc";
    shop.file(NUMBERS, cut);
    make(&shop).exits(0).tells("content/numbers.txt").tells("line 1 cannot be read");
    assert_eq!(intake(&shop, "Una Brill").0, "26-051");
    let after = fs::read_to_string(shop.at(NUMBERS)).unwrap();
    assert!(after.starts_with("26-050 abc\n26-041 ") && after.lines().count() == 4, "{after}");
}

#[test]
fn a_tag_is_printed_where_nothing_can_be_noted() {
    let shop = TestShop::healthy();
    fs::create_dir(shop.at(NUMBERS)).unwrap();
    shop.run(&["tag", "26-041", "--as-of", TODAY]).exits(0).tells("could not be noted").says("/see/");
}

#[test]
fn a_word_that_is_not_whole_is_told_and_the_page_stays_as_it_was() {
    let shop = TestShop::healthy();
    let (number, page) = intake(&shop, "Una Brill");
    shop.make(0);
    let file = format!("{}/job.toml", folder(&shop, &number));
    let text = fs::read_to_string(shop.at(&file)).unwrap();
    let at = text.find("draw ").unwrap() + 14;
    let other = if text[at..].starts_with('7') { "8" } else { "7" };
    shop.file(&file, [&text[..at], other, &text[at + 1..]].concat());
    make(&shop).exits(1).tells("the word that was drawn for this job is not whole");
    assert!(shop.at("public").join(&page).join("index.html").exists());
    // Broken in another way it has its word still, so the page is known to be at home.
    shop.file(&file, text.replace("route ", "rout "));
    make(&shop).exits(1);
    assert!(shop.at("public").join(&page).join("index.html").exists());
}
