/* Reading a nursery out of a git repository: see revision.h. */
#include "cmd/revision.h"

#include "base/vec.h"
#include "cmd/folder.h"
#include "syntax/read.h"

#include <dlfcn.h>
#include <git2.h>
#include <limits.h>
#include <stdlib.h>
#include <string.h>

/* ------------------------------------------------------------------ the library */

/* Every function of libgit2 that is used here, once. */
#define GIT_FUNCTIONS(X)                                                                                     \
    X(git_libgit2_init)                                                                                      \
    X(git_error_last)                                                                                        \
    X(git_repository_open_ext)                                                                               \
    X(git_repository_workdir)                                                                                \
    X(git_repository_free)                                                                                   \
    X(git_revparse_single)                                                                                   \
    X(git_object_peel)                                                                                       \
    X(git_object_free)                                                                                       \
    X(git_object_lookup_bypath)                                                                              \
    X(git_object_id)                                                                                         \
    X(git_oid_equal)                                                                                         \
    X(git_oid_tostr)                                                                                         \
    X(git_commit_id)                                                                                         \
    X(git_commit_parent)                                                                                     \
    X(git_commit_time)                                                                                       \
    X(git_commit_time_offset)                                                                                \
    X(git_tree_entrycount)                                                                                   \
    X(git_tree_entry_byindex)                                                                                \
    X(git_tree_entry_name)                                                                                   \
    X(git_tree_entry_id)                                                                                     \
    X(git_tree_entry_filemode)                                                                               \
    X(git_tree_lookup)                                                                                       \
    X(git_tree_free)                                                                                         \
    X(git_blob_lookup)                                                                                       \
    X(git_blob_rawcontent)                                                                                   \
    X(git_blob_rawsize)                                                                                      \
    X(git_blob_free)

typedef struct Git {
#define DECLARE(function) __typeof__(function) *function;
    GIT_FUNCTIONS(DECLARE)
#undef DECLARE
} Git;

/* POSIX promises that a function's address fits what dlsym gives, C does not: so the bytes are copied. */
static bool find_function(void *library, const char *name, void *pointer, size_t size)
{
    void *found = dlsym(library, name);
    memcpy(pointer, &found, size);
    return found != NULL;
}

static bool git_open(Git *git, const char **why)
{
    static const char name[] = "libgit2.so." LIBGIT2_SOVERSION;
    void *library = dlopen(name, RTLD_NOW | RTLD_LOCAL);
    *why = "revisions are read with the library libgit2, which is not installed (Debian: apt install "
           "libgit2-" LIBGIT2_SOVERSION ")";
    if (!library) return false;
#define FIND(function)                                                                                       \
    if (!find_function(library, #function, &git->function, sizeof git->function)) return false;
    GIT_FUNCTIONS(FIND)
#undef FIND
    *why = "libgit2 cannot be started";
    return git->git_libgit2_init() > 0;
}

/* ------------------------------------------------------------------ what lies in a tree */

typedef struct Blob {
    const char *path; /* from the nursery's folder */
    const char *bytes;
    size_t length;
    bool read; /* given to the nursery */
} Blob;

typedef struct Shelf {
    const Git *git;
    git_repository *repository;
    Load *load;
    const char *revision;
    VEC(Blob) blobs; /* of the language and tables, in the order of their paths */
    const char *failure;
} Shelf;

static const char *git_message(const Git *git, Arena *arena, const char *fallback)
{
    const git_error *error = git->git_error_last();
    return error && error->message ? arena_print(arena, "%s", error->message) : fallback;
}

static bool ends_with(const char *path, const char *ending)
{
    size_t length = strlen(path), tail = strlen(ending);
    return length >= tail && !strcmp(path + length - tail, ending);
}

static void take_blob(Shelf *shelf, const git_oid *id, const char *path)
{
    git_blob *blob;
    Arena *arena = shelf->load->arena;
    if (!ends_with(path, ".heel") && !ends_with(path, ".csv")) return;
    if (shelf->git->git_blob_lookup(&blob, shelf->repository, id)) {
        shelf->failure = git_message(shelf->git, arena, "a file of the revision cannot be read");
        return;
    }
    size_t length = (size_t)shelf->git->git_blob_rawsize(blob);
    if (length > TEXT_LIMIT)
        shelf->failure = arena_print(arena, "%s is larger than 16 MiB", path);
    else if (shelf->blobs.count >= LOAD_FILES)
        shelf->failure = "a nursery has at most 10,000 files";
    else
        VEC_PUSH(
            arena, &shelf->blobs,
            ((Blob){path, arena_copy(arena, shelf->git->git_blob_rawcontent(blob), length), length, false}));
    shelf->git->git_blob_free(blob);
}

/* Links are passed over, as they are in a folder, and so is what begins with a dot. */
static void take_tree(Shelf *shelf, const git_tree *tree, const char *folder, int depth)
{
    const Git *git = shelf->git;
    for (size_t i = 0; i < git->git_tree_entrycount(tree) && !shelf->failure; i++) {
        const git_tree_entry *entry = git->git_tree_entry_byindex(tree, i);
        const char *name = git->git_tree_entry_name(entry);
        git_filemode_t mode = git->git_tree_entry_filemode(entry);
        if (*name == '.') continue;
        const char *path = arena_print(shelf->load->arena, "%s%s%s", folder, *folder ? "/" : "", name);
        git_tree *inner;
        if (mode == GIT_FILEMODE_BLOB || mode == GIT_FILEMODE_BLOB_EXECUTABLE) {
            take_blob(shelf, git->git_tree_entry_id(entry), path);
        } else if (mode == GIT_FILEMODE_TREE && depth < FOLDER_DEPTH) {
            if (git->git_tree_lookup(&inner, shelf->repository, git->git_tree_entry_id(entry))) continue;
            take_tree(shelf, inner, path, depth + 1);
            git->git_tree_free(inner);
        }
    }
}

/* ------------------------------------------------------------------ from blobs to a nursery */

static void give(Shelf *shelf, Blob *blob)
{
    Load *load = shelf->load;
    if (blob->read) return;
    blob->read = true;
    const char *name = arena_print(load->arena, "%s:%s", shelf->revision, blob->path);
    if (ends_with(blob->path, ".csv")) {
        load_table(load, name, blob->bytes, blob->length);
    } else {
        load_text(load, name, blob->bytes, blob->length);
    }
}

/* A path as people write it, without empty and single-dot steps; NULL when it leads out. */
static const char *tidy_path(Arena *arena, Slice path)
{
    const char *tidy = "";
    for (size_t at = 0, end; at <= path.length; at = end + 1) {
        for (end = at; end < path.length && path.at[end] != '/';) end++;
        Slice step = {path.at + at, end - at};
        if (!step.length || slice_is(step, ".")) continue;
        if (slice_is(step, "..")) return NULL;
        tidy = arena_print(arena, "%s%s%.*s", tidy, *tidy ? "/" : "", SLICE_ARG(step));
    }
    return tidy;
}

static bool give_used(Shelf *shelf, const char *path)
{
    size_t length = strlen(path);
    bool found = false;
    for (size_t i = 0; i < shelf->blobs.count; i++) {
        Blob *blob = &shelf->blobs.at[i];
        bool inside = !length || (!strncmp(blob->path, path, length) && blob->path[length] == '/');
        if (strcmp(blob->path, path) && !(inside && ends_with(blob->path, ".heel"))) continue;
        give(shelf, blob);
        found = true;
    }
    return found;
}

static void give_uses(Shelf *shelf, size_t count)
{
    Load *load = shelf->load;
    for (size_t i = 0; i < count; i++) {
        Use use = nursery_uses(load->nursery, &count)[i];
        const char *path = tidy_path(load->arena, use.path);
        if (path && give_used(shelf, path)) continue;
        Note *note = notes_add(load->notes, SEVERITY_ERROR, "use", use.place, "%.*s is not in the revision",
                               SLICE_ARG(use.path));
        note->fatal = true;
    }
}

/* As in a folder: nursery.heel and what that uses, or all there is. */
static void give_all(Shelf *shelf)
{
    size_t uses = 0;
    for (size_t i = 0; i < shelf->blobs.count; i++)
        if (!strcmp(shelf->blobs.at[i].path, "nursery.heel")) give(shelf, &shelf->blobs.at[i]);
    nursery_uses(shelf->load->nursery, &uses);
    if (uses)
        give_uses(shelf, uses);
    else
        give_used(shelf, "");
}

/* ------------------------------------------------------------------ from a folder to its tree */

/* Where a folder lies in the working tree: "" at its top. NULL: outside, or nowhere. */
static const char *folder_in(Shelf *shelf, const char *folder)
{
    char full[PATH_MAX], root[PATH_MAX];
    const char *top = shelf->git->git_repository_workdir(shelf->repository);
    if (!top || !realpath(folder, full) || !realpath(top, root)) return NULL;
    size_t length = strlen(root);
    if (strncmp(full, root, length) || (full[length] && full[length] != '/')) return NULL;
    return arena_print(shelf->load->arena, "%s", full[length] ? full + length + 1 : "");
}

static git_object *tree_of(Shelf *shelf, const char *folder, const char **why)
{
    const Git *git = shelf->git;
    git_object *named = NULL, *tree = NULL, *inner = NULL;
    const char *inside = folder_in(shelf, folder);
    *why = inside ? NULL : "the folder lies in no working tree of git";
    if (!inside) return NULL;
    if (git->git_revparse_single(&named, shelf->repository, shelf->revision) ||
        git->git_object_peel(&tree, named, GIT_OBJECT_TREE))
        *why = git_message(git, shelf->load->arena, "there is no such revision");
    else if (*inside && git->git_object_lookup_bypath(&inner, tree, inside, GIT_OBJECT_TREE))
        *why = arena_print(shelf->load->arena, "there was no folder %s", inside);
    if (named) git->git_object_free(named);
    if (!*inside) return tree;
    if (tree) git->git_object_free(tree);
    return inner;
}

static const Git *git_ready(const char **why)
{
    static Git git; /* opened once; its functions stay where they are */
    static bool opened;
    if (!opened) opened = git_open(&git, why);
    return opened ? &git : NULL;
}

bool revision_load(Load *load, const char *revision, const char *folder, const char **why)
{
    const Git *git = git_ready(why);
    if (!git) return false;
    Shelf shelf = {.git = git, .load = load, .revision = revision};
    if (git->git_repository_open_ext(&shelf.repository, folder, 0, NULL)) {
        *why = git_message(git, load->arena, "there is no git repository here");
        return false;
    }
    git_object *tree = tree_of(&shelf, folder, why);
    if (tree) {
        take_tree(&shelf, (const git_tree *)tree, "", 0);
        git->git_object_free(tree);
        *why = shelf.failure;
    }
    git->git_repository_free(shelf.repository);
    if (!tree || shelf.failure) return false;
    give_all(&shelf);
    return true;
}

/* ------------------------------------------------------------------ which revisions there are */

typedef struct History {
    const Git *git;
    Arena *arena;
    const char *inside; /* the folder in the working tree */
    VEC(Revision) list;
} History;

/* What the folder holds at a commit; false: nothing. */
static bool folder_id(const History *history, const git_commit *commit, git_oid *id)
{
    const Git *git = history->git;
    git_object *tree = NULL, *inner = NULL;
    if (git->git_object_peel(&tree, (const git_object *)commit, GIT_OBJECT_TREE)) return false;
    bool is_there =
        !*history->inside || !git->git_object_lookup_bypath(&inner, tree, history->inside, GIT_OBJECT_TREE);
    if (is_there) *id = *git->git_object_id(inner ? inner : tree);
    if (inner) git->git_object_free(inner);
    git->git_object_free(tree);
    return is_there;
}

static Revision revision_of(const History *history, const git_commit *commit)
{
    enum { HEX = 41, DAY_SECONDS = 86400, MINUTE = 60 };
    char hex[HEX];
    const Git *git = history->git;
    git->git_oid_tostr(hex, sizeof hex, git->git_commit_id(commit));
    int64_t time = git->git_commit_time(commit) + (int64_t)git->git_commit_time_offset(commit) * MINUTE;
    return (Revision){arena_print(history->arena, "%s", hex), (Day)(time / DAY_SECONDS)};
}

static void walk_back(History *history, git_commit *commit, size_t most)
{
    const Git *git = history->git;
    while (commit && history->list.count < most) {
        git_commit *parent = NULL;
        git_oid here, before;
        bool first = git->git_commit_parent(&parent, commit, 0) != 0;
        bool is_there = folder_id(history, commit, &here);
        bool was_there = !first && folder_id(history, parent, &before);
        if (is_there && !(was_there && git->git_oid_equal(&here, &before)))
            VEC_PUSH(history->arena, &history->list, revision_of(history, commit));
        git->git_object_free((git_object *)commit);
        commit = first ? NULL : parent;
    }
    if (commit) git->git_object_free((git_object *)commit);
}

const Revision *revisions_of(Arena *arena, const char *folder, size_t most, size_t *count, const char **why)
{
    const Git *git = git_ready(why);
    *count = 0;
    if (!git) return NULL;
    Load load = {.arena = arena};
    Shelf shelf = {.git = git, .load = &load};
    git_object *head = NULL, *commit = NULL;
    if (git->git_repository_open_ext(&shelf.repository, folder, 0, NULL)) {
        *why = git_message(git, arena, "there is no git repository here");
        return NULL;
    }
    History history = {.git = git, .arena = arena, .inside = folder_in(&shelf, folder)};
    *why = history.inside ? "nothing has been committed yet" : "the folder lies in no working tree of git";
    if (history.inside && !git->git_revparse_single(&head, shelf.repository, "HEAD") &&
        !git->git_object_peel(&commit, head, GIT_OBJECT_COMMIT))
        walk_back(&history, (git_commit *)commit, most);
    if (head) git->git_object_free(head);
    git->git_repository_free(shelf.repository);
    *count = history.list.count;
    return history.list.at;
}
