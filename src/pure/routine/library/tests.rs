use super::*;

#[test]
fn the_shipped_files_load_without_complaint() {
    let (library, complaints) = Library::load(embedded::TEXTS, &[]);
    assert_eq!(complaints, []);
    assert_eq!(library.stretches.len(), 48);
    assert_eq!(library.patterns.len(), 8);
    assert_eq!(library.evenings.len(), 6);
}
