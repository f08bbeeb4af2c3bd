/* Dated work held in memory, for forms that sort before they write. Private to src/write. */
#ifndef WRITE_SHEET_LIST_H
#define WRITE_SHEET_LIST_H

#include "base/vec.h"
#include "write/sheet.h"

/* A task with everything that would not outlive its batch. */
typedef struct SheetTask {
    WorkTask work;
    TaskDate date;
    size_t order; /* in which it came */
} SheetTask;

typedef struct SheetList {
    Arena *arena;
    VEC(SheetTask) tasks;
    uint64_t left_out; /* past SHEET_TASKS */
    size_t last_row;
    Slice last_batch;
} SheetList;

/* Always true: what comes past SHEET_TASKS is only counted. */
bool sheet_list_add(SheetList *list, const WorkTask *task);
/* When all are there: puts them in an order, of SheetTasks, and gives each its date again. */
void sheet_list_sort(SheetList *list, int (*in_order)(const void *, const void *));
/* The day under which a task is written: planned, or the first day of the watch. */
Day sheet_day(const SheetTask *task);

#endif
