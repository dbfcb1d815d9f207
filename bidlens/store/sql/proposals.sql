-- One row per supplier proposal; prices in USD and USD per square foot.
-- columns: proposal_id, batch_id, supplier, proposal_date, structure_id, superstructure, length_ft, width_ft, spans,
--          span_ft, skew_deg, price_usd, price_per_sf, delivery, service_life_years, source_file, source_sheet, source_row,
--          price_per_beam, beams, price_per_lb, weight_lb, valid_until, fob, clear_width_ft, clear_width_adds_ft,
--          own_forces_usd, own_forces_scope, own_figures, scope_unclear, estimate_usd, deck_area_sf
-- parameters: none
SELECT
    proposal_id, batch_id, supplier, proposal_date, structure_id, superstructure, length_ft, width_ft, spans, span_ft,
    skew_deg,
    price_usd::DOUBLE AS price_usd,
    price_per_sf::DOUBLE AS price_per_sf,
    delivery, service_life_years, source_file, source_sheet, source_row,
    price_per_beam::DOUBLE AS price_per_beam,
    beams,
    price_per_lb::DOUBLE AS price_per_lb,
    weight_lb, valid_until, fob, clear_width_ft, clear_width_adds_ft,
    own_forces_usd::DOUBLE AS own_forces_usd,
    own_forces_scope, own_figures, scope_unclear,
    estimate_usd::DOUBLE AS estimate_usd,
    deck_area_sf
FROM proposal
ORDER BY batch_id, source_sheet NULLS FIRST, source_row, proposal_id;
