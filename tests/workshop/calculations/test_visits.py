from workshop.calculations.visits import piece_share


def test_a_piece_may_weigh_from_70_to_140_per_cent_of_its_design():
    share = piece_share(60_000, 3, 20_000)
    assert (share.low_mg, share.each_mg, share.high_mg) == (14_000, 20_000, 28_000)
