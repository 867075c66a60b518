"""Writes check_letter.tsv: what python-stdnum (PyPI) says of the numbers that check letters are computed from.

stdnum.es.dni.calc_check_digit picks a letter by the remainder modulo 23. Run: pip install python-stdnum; python3 check_letter.py
"""

import pathlib
import stdnum
from stdnum.es import dni

rows = []
for first in range(0, 24):
    for second in range(1, 24, 2):
        for number in (1, 4, 10, 99, 100, 123, 500, 998, 999):
            written = f"{first:02d}{second:02d}{number:03d}"
            rows.append(f"{first}\t{second}\t{number}\t{dni.calc_check_digit(written)}")
head = f"# python-stdnum {stdnum.__version__}, stdnum.es.dni.calc_check_digit: first letter's value, second's, number, its letter"
out = pathlib.Path(__file__).with_name("check_letter.tsv")
out.write_text("\n".join([head, *rows]) + "\n")
