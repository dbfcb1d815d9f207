-- The outcome of one proposal; replaces an earlier one.
INSERT OR REPLACE INTO proposal_outcome BY NAME
SELECT
    $proposal_id AS proposal_id, $outcome AS outcome, $outcome_date::DATE AS outcome_date,
    $contract_id::VARCHAR AS contract_id, $letting_date::DATE AS letting_date, $reason AS reason,
    $decided_at::TIMESTAMP AS decided_at;
