/* A disk that fails at one operation of a process, or from it on.
 *
 * Preloaded into a process (LD_PRELOAD). Nothing fails before FAULT_FOLDER is set: from then on the
 * operations on files below it are counted by kind (S: fsync and fdatasync; W: write, pwrite and
 * ftruncate; N: names, that is open with O_CREAT, unlink, rename and mkdir). Of the kind FAULT_KIND
 * the one with the number FAULT_AT, from 1, fails with FAULT_ERRNO and does nothing; so does every
 * later one if FAULT_LASTS is set. FAULT_ERRNO 0 kills the process there instead. The process reads `faults_counted` (by letter) and `faults_made`.
 */
#define _GNU_SOURCE
#include <dlfcn.h>
#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <signal.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

int faults_counted[128], faults_made;

static int is_ours(const char *path) {
    const char *folder = getenv("FAULT_FOLDER");
    return folder && path && strncmp(path, folder, strlen(folder)) == 0;
}

static int is_file_of_ours(int file) {
    char link[64], path[PATH_MAX];
    if (!getenv("FAULT_FOLDER"))
        return 0;
    snprintf(link, sizeof link, "/proc/self/fd/%d", file);
    ssize_t length = readlink(link, path, PATH_MAX - 1);
    path[length > 0 ? length : 0] = 0;
    return is_ours(path);
}

static int fails(char kind) {
    const char *wanted = getenv("FAULT_KIND"), *at = getenv("FAULT_AT");
    int number = ++faults_counted[(int)kind];
    if (!wanted || !at || *wanted != kind)
        return 0;
    if (number != atoi(at) && !(getenv("FAULT_LASTS") && number > atoi(at)))
        return 0;
    faults_made++;
    errno = atoi(getenv("FAULT_ERRNO"));
    if (errno == 0)
        kill(getpid(), SIGKILL);
    return 1;
}

#define REAL(name) ((__typeof__(name) *)dlsym(RTLD_NEXT, #name))

#define SYNC(name)                                                                                 \
    int name(int file) {                                                                           \
        return is_file_of_ours(file) && fails('S') ? -1 : REAL(name)(file);                        \
    }
SYNC(fsync)
SYNC(fdatasync)

ssize_t write(int file, const void *data, size_t length) {
    return is_file_of_ours(file) && fails('W') ? -1 : REAL(write)(file, data, length);
}

#define PWRITE(name, offset_type)                                                                  \
    ssize_t name(int file, const void *data, size_t length, offset_type offset) {                  \
        if (is_file_of_ours(file) && fails('W'))                                                   \
            return -1;                                                                             \
        return REAL(name)(file, data, length, offset);                                             \
    }
PWRITE(pwrite, off_t)
PWRITE(pwrite64, off64_t)

#define FTRUNCATE(name, offset_type)                                                               \
    int name(int file, offset_type length) {                                                       \
        return is_file_of_ours(file) && fails('W') ? -1 : REAL(name)(file, length);                \
    }
FTRUNCATE(ftruncate, off_t)
FTRUNCATE(ftruncate64, off64_t)

#define OPEN(name)                                                                                 \
    int name(const char *path, int flags, ...) {                                                   \
        va_list more;                                                                              \
        va_start(more, flags);                                                                     \
        mode_t mode = (flags & O_CREAT) ? va_arg(more, mode_t) : 0;                                \
        va_end(more);                                                                              \
        return (flags & O_CREAT) && is_ours(path) && fails('N') ? -1                               \
                                                                : REAL(name)(path, flags, mode);   \
    }
OPEN(open)
OPEN(open64)

int unlink(const char *path) { return is_ours(path) && fails('N') ? -1 : REAL(unlink)(path); }

int rename(const char *from, const char *to) {
    return is_ours(from) && fails('N') ? -1 : REAL(rename)(from, to);
}

int mkdir(const char *path, mode_t mode) {
    return is_ours(path) && fails('N') ? -1 : REAL(mkdir)(path, mode);
}
