-- One bid as it stands: status, corrected total, place, and prices of the base bid still missing.
SELECT
    status, total_corrected, rank_corrected,
    (
        SELECT count(*)
        FROM bid_price AS price
        JOIN contract_item AS item USING (contract_id, letting_date, schedule, line)
        WHERE price.contract_id = bid.contract_id AND price.letting_date = bid.letting_date
            AND price.bidder = bid.bidder AND price.unit_price IS NULL AND NOT coalesce(item.alternate, false)
    )
FROM bid
WHERE contract_id = $contract_id AND letting_date = $letting_date AND bidder = $bidder;
