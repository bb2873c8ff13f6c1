"""The one door from records to the public: complete frozen values, and columns for statistics.

Nothing else in publishing reads the record's tables. `door` refuses any column that
`inventory.visibility` does not give to everybody.
"""
