"""bidlens: bid tabulation and unit-cost analytics for a county bridge engineer."""
