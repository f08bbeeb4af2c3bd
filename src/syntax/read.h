/* The one door from text to tree. It hides the scanner and the parser. */
#ifndef SYNTAX_READ_H
#define SYNTAX_READ_H

#include "base/note.h"
#include "syntax/tree.h"

/* Reads one file. Always gives a tree, empty in the worst case; what was wrong is in `notes`, one note a
 * mistake, named "syntax". Bytes that no file may hold are reported first and the file is not scanned. */
Tree *syntax_read(Arena *arena, const Text *text, Notes *notes);

/* Reads one phrase-list as a clause's value would be read: for a cell of a CSV plan. Empty text gives an
 * empty value. False: it could not be read, and a note was added at the place. */
bool syntax_read_value(Arena *arena, const Text *text, Span span, Notes *notes, Value *value);

#endif
