//! A cache that cannot be written is told as that, once, and not as many bad photos.

use crate::builder::{PHONE_PHOTO, TestShop};

#[test]
fn a_full_disk_is_one_problem_and_no_bad_photo() {
    let shop = TestShop::healthy();
    let other = [PHONE_PHOTO, b"another"].concat();
    shop.file("content/jobs/26-042 Ruell hen/IMG_20260507_091233.jpg", other);
    // A file stands where the folder would be: it cannot be written, for whoever runs this.
    shop.file(".benchlight/photos", b"in the way");
    let told = shop
        .make(1)
        .tells("(photo-cache)")
        .tells("the photo is good")
        .tells("the same goes for 1 more photo")
        .err();
    assert!(!told.contains("bad-photo") && told.matches("(photo-cache)").count() == 1, "{told}");
}
