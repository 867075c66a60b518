// A message centre by npm smpp that measures its client. Arguments: its port, `delivers` or `takes`, how many, the first phone.
// Says {"rate": messages a second} and ends.
'use strict';
const smpp = require('smpp');

const [port, what, count, first] = [process.argv[2], process.argv[3], Number(process.argv[4]), Number(process.argv[5])];
const WINDOW = 64;

const say = (begun, many) => {
  const seconds = Number(process.hrtime.bigint() - begun) / 1e9;
  process.stdout.write(JSON.stringify({ rate: many / seconds }) + '\n', () => process.exit(0));
};

const server = smpp.createServer((peer) => {
  let begun = null;
  let taken = 0;
  peer.on('error', () => {});
  peer.on('enquire_link', (pdu) => peer.send(pdu.response()));
  peer.on('bind_transceiver', (pdu) => {
    peer.send(pdu.response({ system_id: 'npm' }));
    if (what === 'delivers') delivers(peer);
  });
  peer.on('submit_sm', (pdu) => {
    begun = begun || process.hrtime.bigint();
    taken += 1;
    peer.send(pdu.response({ message_id: String(taken) }));
    if (what === 'takes' && taken === count) say(begun, taken);
  });
});

const delivers = (peer) => {
  const begun = process.hrtime.bigint();
  let [next, answered] = [0, 0];
  const one = () => {
    const from = '2557' + String(first + next).padStart(8, '0');
    next += 1;
    peer.deliver_sm({
      source_addr_ton: 1, source_addr_npi: 1, source_addr: from, dest_addr_npi: 1, destination_addr: '40123',
      data_coding: 0, short_message: 'C1 4.5 bait C2 5 water',
    }, (answer) => {
      if (answer.command_status !== 0) process.exit(2);
      answered += 1;
      if (answered === count) say(begun, answered);
      else if (next < count) one();
    });
  };
  while (next < Math.min(WINDOW, count)) one();
};

server.listen(Number(port), '127.0.0.1', () => process.stdout.write('{"ready":true}\n'));
setTimeout(() => process.exit(1), 300000).unref();
