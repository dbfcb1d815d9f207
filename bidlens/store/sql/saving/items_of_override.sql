-- Distinct pay items, by schedule, that one decision by hand speaks of, those confirmed to be its item included.
SELECT DISTINCT item_code, description, pay_unit, schedule
FROM contract_item
WHERE (
        upper(regexp_replace(trim(description), '\s+', ' ', 'g'))
            = upper(regexp_replace(trim($description), '\s+', ' ', 'g'))
        OR EXISTS (
            FROM item_alias
            WHERE item_alias.description = contract_item.description
                AND item_alias.pay_unit = coalesce(contract_item.pay_unit, '')
                AND upper(regexp_replace(trim(same_as), '\s+', ' ', 'g'))
                    = upper(regexp_replace(trim($description), '\s+', ' ', 'g'))
        )
    )
    AND ($item_code = '' OR upper(item_code) = upper($item_code))
    AND ($pay_unit = '' OR upper(pay_unit) = upper($pay_unit))
ORDER BY ALL;
