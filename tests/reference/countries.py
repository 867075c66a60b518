"""Writes tests/reference/countries.tsv: an example mobile number of each country and forms of it, by PyPI phonenumbers.

    v/bin/pip install phonenumbers==9.0.43 && v/bin/python tests/reference/countries.py BD BF ... ZW
"""

import sys

import phonenumbers as pn

print("iso\tnational\tinternational")
for iso in sys.argv[1:]:
    number = pn.example_number_for_type(iso, pn.PhoneNumberType.MOBILE)
    national = pn.national_significant_number(number)
    trunk = pn.PhoneMetadata.metadata_for_region(iso).national_prefix == "0"
    print(f"{iso}\t{'0' if trunk else ''}{national}\t{pn.format_number(number, pn.PhoneNumberFormat.E164)}")
