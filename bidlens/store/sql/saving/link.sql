-- One structure linked to a contract, or unlinked from it, by hand; replaces an earlier word on the same schedule.
INSERT OR REPLACE INTO structure_link BY NAME
SELECT
    $contract_id AS contract_id, $letting_date::DATE AS letting_date, $structure_id AS structure_id,
    $schedule AS schedule, $linked AS linked, $superstructure::VARCHAR AS superstructure,
    $length_ft::DOUBLE AS length_ft, $width_ft::DOUBLE AS width_ft, $span_ft::DOUBLE AS span_ft,
    $spans::INTEGER AS spans, $reason AS reason, $decided_at::TIMESTAMP AS decided_at;
