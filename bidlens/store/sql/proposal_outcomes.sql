-- One row per proposal whose outcome was recorded; on_record says whether the proposal itself still is.
-- columns: proposal_id, outcome, outcome_date, contract_id, letting_date, reason, decided_at, on_record
-- parameters: none
SELECT
    proposal_id, outcome, outcome_date, contract_id, letting_date, reason, decided_at,
    proposal_id IN (SELECT proposal_id FROM proposal) AS on_record
FROM proposal_outcome
ORDER BY outcome_date, proposal_id;
