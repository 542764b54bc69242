//! Classes of flash point: what a store's authority asks about first. They say how a liquid is classed, not that
//! anything is allowed.

/// Hazard category of a flammable liquid that boils above 35 °C, by its flash point in °C (United Nations, Globally
/// Harmonized System of Classification and Labelling of Chemicals, table 2.6.1; from memory, to be checked): 2 below
/// 23, 3 to 60, 4 to 93. `None` above that.
pub fn category(flash_c: f64) -> Option<u8> {
    match flash_c {
        flash if flash < 23.0 => Some(2),
        flash if flash <= 60.0 => Some(3),
        flash if flash <= 93.0 => Some(4),
        _ => None,
    }
}

/// Class of a liquid that boils at 37.8 °C or more, by its flash point in °C, as US fire codes have it (NFPA 30,
/// Flammable and Combustible Liquids Code; from memory, to be checked): IB below 22.8, IC to 37.8, II to 60, IIIA to 93,
/// IIIB above.
pub fn us_class(flash_c: f64) -> &'static str {
    match flash_c {
        flash if flash < 22.8 => "IB",
        flash if flash < 37.8 => "IC",
        flash if flash < 60.0 => "II",
        flash if flash < 93.0 => "IIIA",
        _ => "IIIB",
    }
}
