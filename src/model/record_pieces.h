/* What stands behind the verb of a record's line. */
#ifndef MODEL_RECORD_PIECES_H
#define MODEL_RECORD_PIECES_H

#include "model/record.h"

/* The parts of a value one after the other, whatever commas and colons stand between them. */
typedef struct PieceReader {
    const BuildContext *build;
    const char *id; /* of the record, for what is reported */
    RecordLine *line;
    const Part **parts; /* the first is the verb */
    size_t count, next;
    bool partly; /* what the verb needs may be missing: the line is only to be known again */
} PieceReader;

/* Reads the pieces of the line's verb. False: one does not fit or is missing, and that was reported. */
bool line_pieces_read(PieceReader *reader);
/* What does not fit, at its place; gives the note to be completed. */
Note *piece_refuse(const PieceReader *reader, Span place, const char *format, ...)
    __attribute__((format(printf, 3, 4)));
bool piece_whole(const Part *part, int32_t *value); /* a bare whole number no batch is too small for */

#endif
