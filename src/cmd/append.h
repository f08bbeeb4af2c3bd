/* Adding to the end of a file, so that whatever happens it holds the old or the new as a whole. */
#ifndef CMD_APPEND_H
#define CMD_APPEND_H

#include "base/slice.h"

#include <stdbool.h>
#include <sys/types.h>

enum { APPEND_WAIT = 10 }; /* seconds for a file that somebody else is adding to */

/* A file that nobody else adds to until it is closed. */
typedef struct Append {
    const char *path;
    int file;
    off_t length; /* bytes in it */
    bool made;    /* it was not there */
} Append;

typedef enum AppendResult {
    APPEND_DONE,    /* it is on the disk */
    APPEND_REFUSED, /* the file is as it was; *why says what was wrong */
    APPEND_TORN,    /* a part was written and could not be taken back */
    APPEND_UNSURE   /* it was written, and the disk did not say that it kept it */
} AppendResult;

/* Opens a regular file, made where there is none, and waits until nobody else adds to it. False: *why says
 * what is wrong. */
bool append_open(Append *append, const char *path, const char **why);
/* Adds bytes in one write and waits for the disk. */
AppendResult append_write(Append *append, Slice bytes, const char **why);
/* Lets others go on. A file that was made and is still empty is taken away again. */
void append_close(Append *append);

#endif
