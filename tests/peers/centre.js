// A message centre by npm smpp, told by lines of JSON what to do and saying by lines of JSON what happened. Argument: its port.
// Run through NODE_PATH, so that the package is found beside the build.
'use strict';
const smpp = require('smpp');
const readline = require('readline');

const say = (what) => process.stdout.write(JSON.stringify(what) + '\n');
let session = null;
let next = [];
let hold = false;
let ids = 0;

const hexes = (pdu) => {
  const number = (value, octets) => value.toString(16).padStart(octets * 2, '0');
  const tlvs = {};
  if (pdu.ussd_service_op !== undefined) tlvs['1281'] = number(Number(pdu.ussd_service_op), 1);
  if (pdu.its_session_info !== undefined) tlvs['4995'] = Buffer.from(pdu.its_session_info).toString('hex');
  if (pdu.user_message_reference !== undefined) tlvs['516'] = number(pdu.user_message_reference, 2);
  return tlvs;
};

const server = smpp.createServer((peer) => {
  session = peer;
  peer.on('error', () => {});
  const bound = (pdu) => {
    peer.send(pdu.response({ system_id: 'npm' }));
    say({ event: 'bound', system_id: pdu.system_id, password: pdu.password });
  };
  peer.on('bind_transceiver', bound);
  peer.on('bind_receiver', bound);
  peer.on('bind_transmitter', bound);
  peer.on('enquire_link', (pdu) => peer.send(pdu.response()));
  peer.on('unbind', (pdu) => {
    peer.send(pdu.response());
    say({ event: 'unbound' });
    peer.close();
  });
  peer.on('submit_sm', (pdu) => {
    const id = (++ids).toString(16).toUpperCase().padStart(8, '0');
    const text = pdu.short_message.message;
    const status = next.shift() || 0;
    say({
      event: 'submit', id, status, service_type: pdu.service_type, to: pdu.destination_addr, from: pdu.source_addr,
      text: Buffer.isBuffer(text) ? text.toString('latin1') : text, tlvs: hexes(pdu),
    });
    if (hold) return;
    peer.send(status ? pdu.response({ command_status: status }) : pdu.response({ message_id: id }));
  });
});

server.listen(Number(process.argv[2]), '127.0.0.1', () => say({ event: 'listening' }));

readline.createInterface({ input: process.stdin }).on('line', (line) => {
  const order = JSON.parse(line);
  if (order.do === 'status') next.push(order.code);
  if (order.do === 'hold') hold = true;
  if (order.do === 'deliver') {
    const pdu = {
      service_type: order.service_type || '', source_addr_ton: 1, source_addr_npi: 1, source_addr: order.from,
      dest_addr_ton: 0, dest_addr_npi: 1, destination_addr: order.to, esm_class: order.esm_class || 0,
      data_coding: 0, short_message: order.text,
    };
    if (order.op !== undefined) pdu.ussd_service_op = order.op;
    if (order.session !== undefined) pdu.its_session_info = Buffer.from(order.session, 'hex');
    session.deliver_sm(pdu, (answer) => say({ event: 'delivered', status: answer.command_status }));
  }
});
process.stdin.on('end', () => process.exit(0));
// A test that died must not leave it behind.
setTimeout(() => process.exit(1), 120000).unref();
