-- One row per proposal and part of the work it includes.
-- columns: proposal_id, batch_id, scope
-- parameters: none
SELECT proposal_id, batch_id, scope
FROM proposal_scope
ORDER BY batch_id, proposal_id, scope;
