-- One row per bridge of each forecast kept, and one for its total (structure_id empty), newest forecast first.
-- columns: forecast_id, structure_id, made_at, record_stamp, list_fingerprint, year, years, basis, mobilization,
--          index_title, superstructure, letting_date, deck_area_sf, fixed_usd, contingency_ratio, p10, p50, p80, p90,
--          mean, budget_usd, runs, seed
-- parameters: none
SELECT
    forecast_id, structure_id, made_at, record_stamp, list_fingerprint, year, years, basis, mobilization,
    index_title, superstructure, letting_date, deck_area_sf, fixed_usd::DOUBLE AS fixed_usd, contingency_ratio,
    p10::DOUBLE AS p10, p50::DOUBLE AS p50, p80::DOUBLE AS p80, p90::DOUBLE AS p90, mean::DOUBLE AS mean,
    budget_usd::DOUBLE AS budget_usd, runs, seed
FROM forecast
ORDER BY made_at DESC, forecast_id, structure_id;
