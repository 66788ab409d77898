use super::*;

#[test]
fn the_arguments_are_consistent() {
    Args::command().debug_assert();
}
