//! What vessels are worth, in words.

/// What a single price says of an offer.
pub const BOUGHT_UP_TO: &str = "Bought up to: the price of a pack below which the plan buys some, and above which it buys \
    none, with all other prices as they are.";

/// What a range of prices says of an offer whose supplier asks something of the value of the goods.
pub const BOUGHT_IN_RANGE: &str = "Bought from one price to another: the supplier has a minimum order or free delivery. The \
    plan buys some at each of these prices and none just above the last. It may buy some at other prices too, as dearer goods \
    meet such terms sooner. Not found: none at the prices that were tried, half the price and nothing among them.";
