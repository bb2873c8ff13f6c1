"""What an organ is and does, in pure Python and NumPy: no Django, no files, no clock, no chance.

The words: a *key* asks a *pipe* through a *segment* of a *stop*; a pipe asked by two
stops is *shared*; stops joined by shared pipes are a *family*. See `schemes`.
"""
