/* What reading_print.c and reading_print_time.c have from each other. Nobody else includes this. */
#ifndef MODEL_READING_PRINT_H
#define MODEL_READING_PRINT_H

#include "base/buffer.h"
#include "model/reading.h"

/* in reading_print.c */
void put_comma(Buffer *out, size_t index); /* before all but the first of a list */
void put_quoted(Buffer *out, Slice text);
void put_text_behind(Buffer *out, const Reading *reading); /* the text behind a value, if there is one */

/* in reading_print_time.c: a reading of the type, or the part of a reading that its name says */
typedef void PutReading(Buffer *out, const Reading *reading);
PutReading put_dates, put_day_value, put_event, put_windows, put_days;
PutReading put_lasts, put_when, put_at, put_latest, put_slack;

#endif
