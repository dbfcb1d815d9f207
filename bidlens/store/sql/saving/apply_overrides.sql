-- Place every line whose pay item the engineer has placed by hand; case and blanks do not matter. Of several decisions that fit, the one that names
-- code and pay unit goes before one that stands for any.
UPDATE contract_item
SET work_category = decision.work_category, category_rule = 'placed by hand: ' || decision.reason
FROM (
    SELECT item.item_code, item.description, item.pay_unit, o.work_category, o.reason
    FROM (
        SELECT DISTINCT item_code, item.description, item.pay_unit, coalesce(same_as, item.description) AS known
        FROM contract_item AS item
        LEFT JOIN item_alias
            ON item_alias.description = item.description AND item_alias.pay_unit = coalesce(item.pay_unit, '')
    ) AS item
    JOIN category_override AS o
        ON upper(regexp_replace(trim(o.description), '\s+', ' ', 'g')) IN (
            upper(regexp_replace(trim(item.description), '\s+', ' ', 'g')),
            upper(regexp_replace(trim(item.known), '\s+', ' ', 'g'))
        )
        AND (o.item_code = '' OR upper(o.item_code) = upper(item.item_code))
        AND (o.pay_unit = '' OR upper(o.pay_unit) = upper(item.pay_unit))
    QUALIFY row_number() OVER (
        PARTITION BY item.item_code, item.description, item.pay_unit
        ORDER BY
            upper(regexp_replace(trim(o.description), '\s+', ' ', 'g'))
                <> upper(regexp_replace(trim(item.description), '\s+', ' ', 'g')),
            o.item_code = '', o.pay_unit = '', o.decided_at DESC, o.description
    ) = 1
) AS decision
WHERE contract_item.item_code IS NOT DISTINCT FROM decision.item_code
    AND contract_item.description = decision.description
    AND contract_item.pay_unit IS NOT DISTINCT FROM decision.pay_unit
    AND (
        contract_item.work_category <> decision.work_category
        OR contract_item.category_rule <> 'placed by hand: ' || decision.reason
    );
