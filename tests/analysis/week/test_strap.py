from season_parts import day, session

from coachlib.analysis.week.strap import strap_losses


def test_twenty_minutes_left_out_as_talking_are_no_loss():
    talked = session(day(15), hr_s=2400.0, excluded_s=1200.0, hr_missing_s=0.0)
    assert strap_losses([talked], more_than_frac=0.1) == ()


def test_a_session_without_a_strap_has_lost_nothing():
    assert strap_losses([session(day(15), hr_s=0.0, hr_missing_s=3600.0)], more_than_frac=0.1) == ()


def test_the_worst_comes_first_and_who_never_moved_lost_nothing():
    some = session(day(15), hr_s=3000.0, hr_missing_s=600.0)
    most = session(day(15, 1), hr_s=1200.0, hr_missing_s=2400.0)
    losses = strap_losses([some, most], more_than_frac=0.1)
    assert [loss.session for loss in losses] == [most, some]
    assert round(losses[0].missing_frac, 3) == 0.667
    assert strap_losses([session(day(15), moving_s=0.0)], more_than_frac=0.1) == ()
