#include "server/pool.h"

#include <pthread.h>
#include <stdbool.h>
#include <stdlib.h>

struct pool {
    pthread_mutex_t lock;
    pthread_cond_t changed;
    struct job *first, **end; /* the queue; where the next one is linked */
    bool is_closing;
    unsigned count;
    pthread_t threads[];
};

static void *run(void *cls)
{
    struct pool *pool = cls;
    pthread_mutex_lock(&pool->lock);
    for (;;) {
        struct job *job = pool->first;
        if (job) {
            pool->first = job->next;
            if (!pool->first)
                pool->end = &pool->first;
            pthread_mutex_unlock(&pool->lock);
            job->run(job);
            pthread_mutex_lock(&pool->lock);
        } else if (pool->is_closing) {
            break;
        } else {
            pthread_cond_wait(&pool->changed, &pool->lock);
        }
    }
    pthread_mutex_unlock(&pool->lock);
    return NULL;
}

struct pool *pool_new(unsigned threads)
{
    struct pool *pool = malloc(sizeof *pool + threads * sizeof *pool->threads);
    if (!pool)
        return NULL;
    *pool = (struct pool){.end = &pool->first};
    pthread_mutex_init(&pool->lock, NULL);
    pthread_cond_init(&pool->changed, NULL);
    while (pool->count < threads &&
           pthread_create(&pool->threads[pool->count], NULL, run, pool) == 0)
        pool->count++;
    if (pool->count == threads)
        return pool;
    pool_free(pool);
    return NULL;
}

void pool_put(struct pool *pool, struct job *job)
{
    job->next = NULL;
    pthread_mutex_lock(&pool->lock);
    *pool->end = job;
    pool->end = &job->next;
    pthread_cond_signal(&pool->changed);
    pthread_mutex_unlock(&pool->lock);
}

void pool_free(struct pool *pool)
{
    if (!pool)
        return;
    pthread_mutex_lock(&pool->lock);
    pool->is_closing = true;
    pthread_cond_broadcast(&pool->changed);
    pthread_mutex_unlock(&pool->lock);
    for (unsigned i = 0; i < pool->count; i++)
        pthread_join(pool->threads[i], NULL);
    pthread_cond_destroy(&pool->changed);
    pthread_mutex_destroy(&pool->lock);
    free(pool);
}
