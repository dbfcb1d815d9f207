-- One row per letting in which two bids are confirmed to be of one bidder; there both stay as read.
-- columns: contract_id, letting_date, bidder, spellings
-- parameters: none
SELECT contract_id, letting_date, confirmed_as AS bidder, string_agg(bidder, ' and ' ORDER BY bidder) AS spellings
FROM bidder_known
GROUP BY contract_id, letting_date, confirmed_as
HAVING count(*) > 1
ORDER BY letting_date, contract_id, confirmed_as;
