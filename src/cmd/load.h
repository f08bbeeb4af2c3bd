/* From what the command line names to a nursery and plans. */
#ifndef CMD_LOAD_H
#define CMD_LOAD_H

#include "model/nursery.h"
#include "model/plan.h"

enum { LOAD_FILES = 10000, LOAD_ABOVE = 16 /* folders, in search of a nursery */ };

/* A plan as a table, to be read when the nursery is known. */
typedef struct TableFile {
    const char *name;
    int descriptor;    /* -1: all its bytes were read already */
    const char *ahead; /* bytes that were read already, to find out what it is */
    size_t ahead_length;
} TableFile;

typedef struct Loading Loading;

typedef struct Load {
    Arena *arena;
    Notes *notes;
    Nursery *nursery;
    bool alone;         /* single files are read by themselves, without the nursery they lie in */
    bool without_plans; /* batches are passed over, tables too: they come from elsewhere */
    TableFile *tables;  /* set by load_end */
    size_t table_count;
    bool nothing;      /* no file was found */
    uint64_t contents; /* the same for the same files, whatever they are called */
    Loading *loading;  /* between load_begin and load_end */
} Load;

/* Reads the rules that ship, then every file that the paths lead to: a folder with its nursery.heel, a file
 * of the language, a plan as CSV, "-" for standard input. Without a path it is the folder we are in. Faults
 * are notes. */
void load_paths(Load *load, const char *const *paths, size_t count);

/* The same step by step, for a nursery that comes from several places. */
void load_begin(Load *load);
void load_path(Load *load, const char *path);
const Text *load_text(Load *load, const char *name, const char *bytes, size_t length);
void load_table(Load *load, const char *name, const char *bytes, size_t length);
void load_end(Load *load);

/* What stood in an open file when it was read; NULL: it was not read, or is a table. */
const Text *load_text_of(const Load *load, int descriptor);

/* Bytes of a table, as plan_table_open asks for them; `from` is a TableFile. */
PlanRead load_read_table;
/* One tree, for --dump=tree. NULL: noted. */
const Tree *load_tree(Load *load, const char *path);

#endif
