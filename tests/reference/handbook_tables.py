"""Annealing tables by thickness and expansion, as printed.

Ordinary ware: Shand E.B. 1958, Glass Engineering Handbook (McGraw-Hill), commercial annealing (from
memory, unverified). Lead casting crystal: Gaffer Glass, technical note "Annealing Schedule for
Casting Crystal" (rows and the three rates, read), slabs cooled from both sides.
"""

# expansion 1e-7/K, sides, thickness mm, slow rate °C/min, hold min, final cooling °C/min
ORDINARY_WARE = [
    (33, "one", 3.2, 12, 5, 130), (33, "one", 6.4, 3, 15, 30), (33, "one", 12.7, 0.8, 30, 8),
    (50, "one", 3.2, 8, 5, 85), (50, "one", 6.4, 2, 15, 21), (50, "one", 12.7, 0.5, 30, 5),
    (90, "one", 3.2, 4, 5, 50), (90, "one", 6.4, 1, 15, 11), (90, "one", 12.7, 0.3, 30, 3),
    (33, "both", 3.2, 39, 5, 400), (33, "both", 6.4, 12, 15, 130), (33, "both", 12.7, 3, 30, 30),
    (50, "both", 3.2, 26, 5, 260), (50, "both", 6.4, 8, 15, 85), (50, "both", 12.7, 2, 30, 21),
    (90, "both", 3.2, 14, 5, 140), (90, "both", 6.4, 4, 15, 50), (90, "both", 12.7, 1, 30, 11),
]  # fmt: skip

# thickness mm, hold h at 430, °C/h to °C, °C/h to °C, °C/h to the room
LEAD_CASTING = [
    (12, 2, 67, 360, 133, 310, 402), (19, 3, 29, 360, 58, 310, 174), (25, 4, 16, 360, 32, 310, 96),
    (38, 6, 7.2, 360, 14.4, 310, 43), (50, 8, 4.3, 360, 8.6, 310, 25.8),
    (60, 10, 2.9, 340, 5.8, 290, 17.4), (75, 12, 1.8, 340, 3.6, 290, 10.8),
    (88, 14, 1.4, 340, 2.8, 290, 8.4), (100, 16, 1.0, 340, 2.0, 290, 6.0),
    (125, 20, 0.7, 340, 1.4, 290, 4.2), (150, 24, 0.5, 320, 1.0, 270, 3.0),
]  # fmt: skip
