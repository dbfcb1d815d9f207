-- Places by corrected total among the responsive bids of one letting; ties share a place.
UPDATE bid
SET rank_corrected = placed.place
FROM (
    SELECT
        bidder,
        CASE
            WHEN status = 'responsive'
                THEN rank() OVER (PARTITION BY status = 'responsive' ORDER BY total_corrected)
        END::INTEGER AS place
    FROM bid
    WHERE contract_id = $contract_id AND letting_date = $letting_date
) AS placed
WHERE bid.contract_id = $contract_id AND bid.letting_date = $letting_date AND bid.bidder = placed.bidder
    AND bid.rank_corrected IS DISTINCT FROM placed.place;
