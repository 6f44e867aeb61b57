-- question: Which open injuries can no surface help, because they must be kept clear of all of them or a device presses on them, and is that done?
-- grain:    one row per open pressure injury and kind of need
-- key:      client_id, injury_id, need_kind
-- inputs:   state.injuries
-- beware:   these needs never raise a mattress or a seat; only heels are asked about, so of a foot, a toe or a device nothing says that it is done
-- stored:   view
-- columns:
--   client_id        id                                  the person
--   injury_id        id                                  the injury
--   need_kind        code offloading|device              kept clear of every surface, or freed of a device
--   location         code injuries.location              where
--   side             code injuries.side                  left, right, midline
--   effective_stage  code injuries.stage                 blank when not staged
--   heel_offloading  code circumstances.heel_offloading  what keeps the heel clear; blank for other places and where not recorded
--   is_met           boolean                             done as deep an injury asks; blank where that cannot be told
--   reasons          text                                why, as a plain sentence
SELECT
    injuries.client_id,
    injuries.injury_id,
    'offloading' AS need_kind,
    injuries.location,
    injuries.side,
    injuries.effective_stage,
    CASE WHEN injuries.location = 'heel' THEN injuries.heel_offloading END AS heel_offloading,
    CASE
        WHEN injuries.location <> 'heel' THEN NULL
        WHEN injuries.heel_offloading = 'pillow' THEN NOT injuries.is_full_thickness
        ELSE injuries.heel_offloading = 'device'
    END AS is_met,
    CASE
        WHEN injuries.location <> 'heel' THEN 'to be kept clear of every surface; no export says whether it is'
        WHEN injuries.heel_offloading IS NULL THEN 'to be kept clear of every surface; whether it is, is not recorded'
        WHEN injuries.heel_offloading = 'none' THEN 'to be kept clear of every surface, and rests on the bed'
        WHEN injuries.heel_offloading = 'device' THEN 'kept clear by a device'
        WHEN injuries.is_full_thickness THEN 'on a pillow, which is not enough under an injury as deep'
        WHEN injuries.is_full_thickness IS NULL THEN 'on a pillow; whether that is enough hangs on how deep it is'
        ELSE 'kept clear by a pillow'
    END AS reasons
FROM state.injuries AS injuries
WHERE injuries.needs_offloading
UNION ALL
SELECT
    injuries.client_id,
    injuries.injury_id,
    'device' AS need_kind,
    injuries.location,
    injuries.side,
    injuries.effective_stage,
    CAST(NULL AS VARCHAR) AS heel_offloading,
    CAST(NULL AS BOOLEAN) AS is_met,
    'the device has to be moved, padded or changed, and no surface does that; no export says whether it was' AS reasons
FROM state.injuries AS injuries
WHERE injuries.is_device_need
ORDER BY client_id, injury_id, need_kind
