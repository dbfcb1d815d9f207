-- One row per two bidders that bid on one contract.
-- columns: one, other, contracts
-- parameters: none
SELECT a.bidder AS one, b.bidder AS other, count(*) AS contracts
FROM bid AS a
JOIN bid AS b USING (contract_id, letting_date)
WHERE a.bidder < b.bidder
GROUP BY a.bidder, b.bidder
ORDER BY one, other;
