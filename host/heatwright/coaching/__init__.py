"""The coach: a hand turns the heat, and is told in time what to do.

How another room takes a coached run through, as `live.coach_live` and the page do::

    outfit = outfit_of("sand", "sac305", board=None, bead="board_sensor")   # outfit.py
    cautions(outfit), beforehand(outfit)        # tuples of sentences, to be read first
    readings = readings_for("log.csv")          # set_up.py: PORT, FILE.csv, typed, none; .close()
    coach = coach_for(outfit, "log.csv")        # set_up.py

    value_c, is_unplugged = readings.take()     # once a second; never waits
    advice = coach.tell(Seen(now_s, value_c, is_unplugged))   # coach.py; None: nothing new to say
    advice.text, advice.kind, advice.is_danger  # advice.py; say it, ring, show it large
    coach.standing                              # the advice that holds now, for the large type
    coach.board_c, coach.is_lifted, coach.stage, coach.is_done

`live.Live` does that once a second and records it: ``Live(coach, readings, recorder, screen,
keys)`` with one's own `screen.Screen` (``show`` each moment, ``say`` each advice) and `live.Keys`
(``lines()``: "m" marks the melt, "s" stops, a number is a typed reading). `live.coach_live` also
opens the record and judges it at the end; it blocks, so give it a thread. `practice.practise` is a
rehearsal with a simulated source and person; it takes a `Screen` too.
"""
