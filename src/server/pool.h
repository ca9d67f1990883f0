/* pool.h: threads for what would hold up an event loop. */
#ifndef SERVER_POOL_H
#define SERVER_POOL_H

/* A piece of work; its memory is the caller's until `run` is called, and `run`'s from then on. */
struct job {
    struct job *next;
    void (*run)(struct job *job);
};

struct pool;

/* NULL: no memory, or no thread could be started. */
struct pool *pool_new(unsigned threads);
/* Have it run by some thread of the pool, after all that was put earlier. Never blocks for long,
 * never fails. */
void pool_put(struct pool *pool, struct job *job);
/* Run what was put, then end the threads. NULL is nothing. */
void pool_free(struct pool *pool);

#endif
