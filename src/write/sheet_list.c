/* Keeping tasks beyond their batch. */
#include "write/sheet_list.h"

#include <stdlib.h>

bool sheet_list_add(SheetList *list, const WorkTask *task)
{
    if (list->tasks.count >= SHEET_TASKS) {
        list->left_out++;
        return true;
    }
    if (!list->tasks.count || list->last_row != task->row) {
        list->last_batch =
            (Slice){arena_copy(list->arena, task->batch.at, task->batch.length), task->batch.length};
        list->last_row = task->row;
    }
    SheetTask *kept = VEC_ADD(list->arena, &list->tasks);
    kept->work = *task;
    kept->work.batch = list->last_batch;
    kept->work.timeline = NULL; /* passes with its batch */
    kept->date = *task->date;
    kept->work.date = NULL; /* the list may move: set again when it is whole */
    kept->order = list->tasks.count;
    return true;
}

void sheet_list_sort(SheetList *list, int (*in_order)(const void *, const void *))
{
    if (list->tasks.count) qsort(list->tasks.at, list->tasks.count, sizeof *list->tasks.at, in_order);
    for (size_t i = 0; i < list->tasks.count; i++) list->tasks.at[i].work.date = &list->tasks.at[i].date;
}

Day sheet_day(const SheetTask *task)
{
    return task->date.watch ? task->date.date.on[RUN_EARLY] : task->date.date.on[RUN_PLANNED];
}
