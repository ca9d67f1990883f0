/* ready.c: how long a program takes from exec to its first line on standard output.
 * Usage: ready TIMES PROGRAM [ARGUMENT...]    prints the times in ms, one a line; each run is ended
 * by SIGTERM. */
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

static double now_ms(void)
{
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return 1e3 * (double)t.tv_sec + 1e-6 * (double)t.tv_nsec;
}

int main(int argc, char **argv)
{
    int times = argc > 2 ? (int)strtol(argv[1], NULL, 10) : 0;
    if (times < 1) {
        fprintf(stderr, "usage: ready TIMES PROGRAM [ARGUMENT...]\n");
        return 2;
    }
    for (int i = 0; i < times; i++) {
        int out[2];
        if (pipe(out) != 0)
            return 1;
        double started = now_ms();
        pid_t child = fork();
        if (child < 0)
            return 1;
        if (child == 0) {
            dup2(out[1], STDOUT_FILENO);
            close(out[0]);
            close(out[1]);
            execv(argv[2], argv + 2);
            _exit(127);
        }
        close(out[1]);
        char byte = 0;
        while (read(out[0], &byte, 1) == 1 && byte != '\n')
            continue;
        double took = now_ms() - started;
        kill(child, SIGTERM);
        int status;
        waitpid(child, &status, 0);
        close(out[0]);
        if (byte != '\n') {
            fprintf(stderr, "%s ended without a line\n", argv[2]);
            return 1;
        }
        printf("%.3f\n", took);
    }
    return 0;
}
