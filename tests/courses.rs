//! The shipped courses: invented, plausible, and exactly what the generator makes.

use std::path::Path;

use crate::support::course_maker;

#[test]
fn committed_files_are_what_the_generator_makes() {
    for name in course_maker::NAMES {
        let folder = course_maker::make(name);
        let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(folder.path);
        for (file, text) in folder.files {
            let file = path.join(file);
            if std::env::var_os("SUTLER_ACCEPT").is_some() {
                std::fs::create_dir_all(&path).unwrap();
                std::fs::write(&file, &text).unwrap();
            }
            let kept = std::fs::read_to_string(&file).unwrap_or_default();
            assert!(
                kept == text,
                "{} is stale: run with SUTLER_ACCEPT=1",
                file.display()
            );
        }
    }
}
