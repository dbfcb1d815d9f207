-- One row per doubt met while importing, with `accepted`: why the engineer lets it stand, or that the missing prices were
-- typed by hand; empty while it is open.
CREATE OR REPLACE TEMP VIEW finding_known AS
SELECT
    finding.*,
    CASE
        WHEN acceptance.reason IS NOT NULL THEN acceptance.reason
        WHEN finding.code IN ('blank_unit_price', 'no_bid_on_item') AND EXISTS (
            SELECT 1
            FROM bid_price AS price
            WHERE price.batch_id = finding.batch_id AND price.contract_id = finding.contract_id
                AND starts_with(finding.text, 'contract ' || price.contract_id || ': ' || price.bidder || ' ')
            HAVING count(price.by_hand) > 0 AND count(*) = count(price.unit_price)
        ) THEN 'the prices were typed by hand'
    END AS accepted
FROM finding
JOIN import_batch USING (batch_id)
LEFT JOIN acceptance
    ON acceptance.sha256 = import_batch.sha256
    AND acceptance.source_sheet = coalesce(finding.source_sheet, '')
    AND acceptance.source_row = coalesce(finding.source_row, 0)
    AND acceptance.code = finding.code AND acceptance.text = finding.text;
