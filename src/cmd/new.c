/* heelcut new: a nursery in a folder of its own, or one protocol or batch to standard output. */
#include "cmd/job.h"

#include "base/near.h"
#include "write/start.h"

#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

/* ------------------------------------------------------------------ a folder */

/* New, or without any file that is not hidden. -1: told. */
static int open_empty_folder(Job *job, const char *path)
{
    if (mkdir(path, 0777) < 0 && errno != EEXIST) {
        job_trouble(job, "%s cannot be made: %s", path, strerror(errno));
        return -1;
    }
    int folder = open(path, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    if (folder < 0) {
        job_trouble(job, "%s cannot be used: %s", path, strerror(errno));
        return -1;
    }
    DIR *listing = fdopendir(dup(folder));
    bool empty = listing != NULL;
    for (struct dirent *entry; empty && (entry = readdir(listing));) empty = entry->d_name[0] == '.';
    if (listing) closedir(listing);
    if (empty) return folder;
    job_trouble(job, "%s is not empty: a nursery begins in a folder of its own", path);
    close(folder);
    return -1;
}

static bool write_all(int file, Slice text)
{
    while (text.length) {
        ssize_t count = write(file, text.at, text.length);
        if (count < 0 && errno == EINTR) continue;
        if (count < 0) return false;
        text.at += count;
        text.length -= (size_t)count;
    }
    return true;
}

/* A file that is not there yet, in the folder or one folder below. */
static bool write_file(int folder, const char *path, Slice text)
{
    char inner[64];
    const char *slash = strchr(path, '/');
    if (slash) {
        size_t length = (size_t)(slash - path);
        if (length >= sizeof inner) return false;
        memcpy(inner, path, length);
        inner[length] = '\0';
        if (mkdirat(folder, inner, 0777) < 0 && errno != EEXIST) return false;
    }
    int file = openat(folder, path, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC | O_NOFOLLOW, 0666);
    if (file < 0) return false;
    bool written = write_all(file, text);
    return close(file) == 0 && written;
}

static int new_nursery(Job *job, const StartKind *kind, const char *name, const char *path)
{
    int folder = open_empty_folder(job, path);
    if (folder < 0) return STATUS_TROUBLE;
    int status = STATUS_CLEAN;
    for (size_t i = 0; i < start_file_count && status == STATUS_CLEAN; i++) {
        Slice text = start_text(job->arena, start_files[i].text, kind->placeholder, name);
        if (!write_file(folder, start_files[i].path, text))
            status =
                job_trouble(job, "%s/%s cannot be written: %s", path, start_files[i].path, strerror(errno));
    }
    close(folder);
    if (status != STATUS_CLEAN) return status;
    buffer_text(job->out, "A nursery to begin with:\n");
    for (size_t i = 0; i < start_file_count; i++) {
        buffer_text(job->out, "  ");
        buffer_escaped(job->out, slice_of(path));
        buffer_print(job->out, "/%s\n", start_files[i].path);
    }
    buffer_text(job->out,
                "Every figure in it is an example: put your own in its place, then ask\n  heelcut check ");
    buffer_escaped(job->out, slice_of(path));
    buffer_char(job->out, '\n');
    return STATUS_CLEAN;
}

/* ------------------------------------------------------------------ one text */

static int new_text(Job *job, const StartKind *kind, const char *name)
{
    const char *path = job->options->value[OPTION_OUTPUT];
    struct stat there;
    if (path && lstat(path, &there) == 0)
        return job_trouble(job, "%s is there already; it is left as it is", path);
    buffer_slice(job->out, start_text(job->arena, start_file_text(kind->path), kind->placeholder, name));
    return STATUS_CLEAN;
}

static int refuse_kind(Job *job, const char *word)
{
    Nearest nearest;
    nearest_start(&nearest, slice_of(word));
    for (size_t i = 0; i < start_kind_count; i++) nearest_try(&nearest, slice_of(start_kinds[i].word));
    if (nearest_found(&nearest))
        return job_trouble(job, "new makes no '%s'; did you mean %.*s?", word, SLICE_ARG(nearest.best));
    return job_trouble(job, "new makes a nursery, a protocol or a batch, not '%s'", word);
}

int command_new(Job *job)
{
    const Options *options = job->options;
    if (!options->path_count)
        return job_trouble(job, "new takes what to begin: heelcut new nursery, protocol or batch");
    const StartKind *kind = start_kind_find(slice_of(options->paths[0]));
    if (!kind) return refuse_kind(job, options->paths[0]);
    const char *name = options->path_count > 1 ? options->paths[1] : kind->placeholder;
    if (!start_name_fits(job->arena, kind, name))
        return job_trouble(
            job,
            "'%s' cannot be a name: it is one word that begins with a letter and goes on with letters, "
            "figures, - and _",
            name);
    bool whole = kind == &start_kinds[0];
    if (options->path_count > (whole ? 3U : 2U))
        return job_trouble(job,
                           whole ? "new nursery takes a name and a folder"
                                 : "new %s takes a name; --output says where it goes",
                           kind->word);
    if (!whole) return new_text(job, kind, name);
    if (options->value[OPTION_OUTPUT])
        return job_trouble(job, "a nursery is a folder: heelcut new nursery %s FOLDER", name);
    return new_nursery(job, kind, name, options->path_count > 2 ? options->paths[2] : name);
}
