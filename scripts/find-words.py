#!/usr/bin/env python3
"""Where words stand in a picture of the window: their middle, as `X Y`.

    find-words.py SCREEN.png WORDS [SIZE]

The words are drawn in the desk's own type, SIZE pixels high (18 left out), and looked for in the picture. Ends with 1 where they
do not stand there. Needs ImageMagick, OpenCV and NumPy.
"""
import pathlib
import subprocess
import sys
import tempfile

import cv2
import numpy as np

FACE = pathlib.Path(__file__).parent.parent / "assets/fonts/B612-Regular.otf"
# Words that stand there match with 0.65 and more, the longer the less; others with 0.5 at most.
ALIKE = 0.58


def drawn(words, size):
    with tempfile.NamedTemporaryFile(suffix=".png") as file:
        subprocess.run(
            ["convert", "-background", "black", "-fill", "white", "-font", FACE, "-pointsize", str(size),
             f"label:{words}", "-trim", "+repage", file.name],
            check=True,
        )
        return cv2.imread(file.name, cv2.IMREAD_GRAYSCALE)


def found(screen, words, size):
    """Middle of the best match, and how alike it is."""
    grey = cv2.cvtColor(cv2.imread(screen), cv2.COLOR_BGR2GRAY)
    word = drawn(words, size)
    # Dark on light counts like light on dark.
    alike = np.abs(cv2.matchTemplate(grey, word, cv2.TM_CCOEFF_NORMED))
    _, best, _, (left, top) = cv2.minMaxLoc(alike)
    return best, left + word.shape[1] // 2, top + word.shape[0] // 2


def main():
    screen, words = sys.argv[1:3]
    size = int(sys.argv[3]) if len(sys.argv) > 3 else 18
    best, x, y = found(screen, words, size)
    print(f"`{words}`: {best:.2f}", file=sys.stderr)
    if best < ALIKE:
        sys.exit(f"`{words}` does not stand in the window")
    print(x, y)


main()
