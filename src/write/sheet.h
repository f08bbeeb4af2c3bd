/* Dated work to bytes. A writer is begun, given every task, and ended. CSV and JSON write as they go; the
 * sheet for people and the calendar collect first. */
#ifndef WRITE_SHEET_H
#define WRITE_SHEET_H

#include "analysis/work.h"
#include "base/buffer.h"

enum { SHEET_TASKS = 1000000 }; /* that a collecting writer holds; it says so when there were more */

typedef struct SheetOptions {
    const Nursery *nursery;
    WorkFilter filter;
    Slice language; /* empty: the nursery's own */
    bool color;
    bool spreadsheet; /* CSV: with a byte-order mark, for programs that guess */
    Slice previous;   /* calendar: the bytes written last time, or empty */
    int64_t stamp;    /* calendar: DTSTAMP, seconds since 1970 */
} SheetOptions;

typedef struct Sheet Sheet;

typedef struct SheetForm {
    Sheet *(*begin)(Arena *arena, Buffer *out, const SheetOptions *options);
    bool (*task)(Sheet *sheet, const WorkTask *task); /* false: enough */
    void (*end)(Sheet *sheet, const WorkResult *result);
} SheetForm;

extern const SheetForm sheet_text, sheet_csv, sheet_json, sheet_calendar;

#endif
