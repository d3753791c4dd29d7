//! Which zone a slip of the pen may mean.

/// The known zone name that a misspelt one may mean: the same letters in another case, the place
/// without its continent, or the nearest spelling.
pub fn nearest_zone(written: &str) -> Option<&'static str> {
    let names = || chrono_tz::TZ_VARIANTS.iter().map(|zone| zone.name());
    let place = written.trim().replace(' ', "_");
    let same = |name: &str| name.eq_ignore_ascii_case(&place);
    names()
        .find(|name| same(name))
        .or_else(|| names().find(|name| name.rsplit('/').next().is_some_and(same)))
        .or_else(|| crate::pure::complaint::nearest(&place, names()))
}
