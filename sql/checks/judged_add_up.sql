-- question: Is every person's bed, and every seat that is asked about, either judged or said to be unknown?
-- inputs:   audit.tally
SELECT tally.is_total, tally.team
FROM audit.tally
WHERE tally.people <> tally.lying_judged + tally.lying_cannot_judge
    OR tally.lying_judged
        <> tally.lying_matched + tally.lying_under + tally.lying_over + tally.lying_contraindicated
    OR tally.sitting_people <> tally.sitting_judged + tally.sitting_cannot_judge
    OR tally.sitting_judged
        <> tally.sitting_matched + tally.sitting_under + tally.sitting_over + tally.sitting_contraindicated
