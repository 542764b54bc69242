//! Columns that a narrow screen goes without, those that go first first.

pub const ORDER_CODE: u8 = 0;
pub const OUTCOME: u8 = 1;
pub const FILLINGS: u8 = 2;
pub const WALL: u8 = 3;
pub const YEARS: u8 = 4;
pub const POSTURE: u8 = 5;
pub const COVER: u8 = 6;
pub const TISSUE: u8 = 7;
pub const NOTE: u8 = 8;
pub const NEEDED: u8 = 9;
pub const SPARE: u8 = 10;
pub const NAME: u8 = 11;
pub const CLASS: u8 = 12;
pub const FLASH: u8 = 13;
pub const GLASS: u8 = 14;
pub const FULL: u8 = 15;
pub const KEPT: u8 = 16;
pub const IN_BATHS: u8 = 17;
pub const LOTS: u8 = 18;
pub const PER_LITRE: u8 = 19;
pub const ON_THE_SHELF: u8 = 20;
pub const NEEDED_LITRES: u8 = 21;
pub const PRESENT_ONLY: u8 = 22;
pub const ALSO_FAMILY: u8 = 23;
pub const RENEWAL_YEARS: u8 = 24;
