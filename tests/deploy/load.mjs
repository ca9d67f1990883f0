// load.mjs: clients that ask all the time and count what went wrong.
import {connect, get, post, problem, sleep} from '../wire/lib.mjs';

// Half of the clients keep their connection, half take a new one for each request; most compute.
// stop() ends them: {asked, failed: {what: how often}}.
export function start_load(port, clients = 16) {
  const load = {asked: 0, failed: {}, is_over: false};
  const fail = what => load.failed[what] = (load.failed[what] ?? 0) + 1;
  const client = async number => {
    const keeps = number % 2 === 0;
    let link = null;
    for (let i = number; !load.is_over; i++) {
      if (!link || link.is_ended) {
        link = connect(port);
        const error = await new Promise(resolve => {
          link.socket.once('connect', () => resolve(null));
          link.socket.once('error', e => resolve(e.code));
        });
        if (error) {
          load.asked++;
          fail(error);
          link = null;
          await sleep(5);
          continue;
        }
      }
      load.asked++;
      link.count = (link.count ?? 0) + 1;
      link.send(i % 5 ? post('/v1/resultant', problem, keeps ? '' : 'Connection: close\r\n') : get('/v1', keeps ? '' : 'Connection: close\r\n'));
      const answer = await link.answer({ms: 15000});
      if (answer?.status !== 200 || !answer.json) fail(answer ? `status ${answer.status}` : `${link.error ?? 'no answer'} ${keeps ? `to request ${link.count} of a connection` : 'on a new connection'}`);
      if (!answer || !keeps || answer.headers.connection === 'close') {
        link.close();
        link = null;
      }
    }
    link?.close();
  };
  const all = Promise.all(Array.from({length: clients}, (_, i) => client(i)));
  load.stop = async () => {
    load.is_over = true;
    await all;
    return {asked: load.asked, failed: load.failed};
  };
  return load;
}
export const free_port = () => new Promise(resolve => {
  import('node:net').then(({default: net}) => {
    const server = net.createServer().listen(0, '127.0.0.1', () => {
      const {port} = server.address();
      server.close(() => resolve(port));
    });
  });
});
