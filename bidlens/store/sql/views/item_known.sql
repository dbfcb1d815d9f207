-- One row per line of contract_item, pay items confirmed to be the same under the one description, and the code that
-- description commonly has; description_as_read keeps what the file says.
CREATE OR REPLACE TEMP VIEW item_known AS
WITH code AS (
    SELECT item.description AS known, coalesce(item.pay_unit, '') AS pay_unit, mode(item_code) AS item_code
    FROM contract_item AS item
    WHERE EXISTS (FROM item_alias WHERE item_alias.same_as = item.description)
    GROUP BY item.description, coalesce(item.pay_unit, '')
)
SELECT
    item.* REPLACE (
        coalesce(same_as, item.description) AS description,
        CASE WHEN same_as IS NULL THEN item.item_code ELSE coalesce(code.item_code, item.item_code) END
            AS item_code
    ),
    item.description AS description_as_read
FROM contract_item AS item
LEFT JOIN item_alias
    ON item_alias.description = item.description AND item_alias.pay_unit = coalesce(item.pay_unit, '')
LEFT JOIN code ON code.known = same_as AND code.pay_unit = coalesce(item.pay_unit, '');
