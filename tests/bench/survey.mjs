import { spawn } from 'node:child_process';
import http from 'node:http';
const [program, data] = process.argv.slice(2);
const t0 = process.hrtime.bigint();
const srv = spawn(program, ['serve','--data',data,'--listen','127.0.0.1:0'], {stdio:['ignore','pipe','ignore']});
const port = await new Promise(r => srv.stdout.on('data', d => r(Number(/:(\d+)\//.exec(d)[1]))));
const agent = new http.Agent({keepAlive:true});
let cookie='';
function ask(path, method='GET', body) { return new Promise((ok, no) => { const s=process.hrtime.bigint(); const q=http.request({agent,host:'127.0.0.1',port,path,method,headers:{cookie, ...(body?{'content-type':'application/json'}:{})}}, r => { const c=[]; r.on('data',d=>c.push(d)); r.on('end',()=>ok({status:r.statusCode,headers:r.headers,body:Buffer.concat(c).toString(),ms:Number(process.hrtime.bigint()-s)/1e6})); }); q.on('error',no); q.end(body); }); }
await ask('/livez'); console.log('start to first answer', Number(process.hrtime.bigint()-t0)/1e6);
const s = await ask('/api/session','POST',JSON.stringify({login:'bench',password:'bench bench bench'}));
cookie=(s.headers['set-cookie']??[''])[0].split(';')[0];
if(!cookie) console.log(s);
const doc = JSON.parse((await ask('/api')).body);
const rows=[];
async function time(path){ let best=1e9,r; for(let i=0;i<3;i++){ r=await ask(path); best=Math.min(best,r.ms); if(best>3000) break; } rows.push([best,path,r.status,r.body.length]); }
for (const [p,def] of Object.entries(doc.paths)) { if(!def.get||p.includes('{')||p.includes('.')) continue; const params=def.get.parameters??[]; if(!params.find(x=>x.name==='sort')) continue;
 const sorts=params.find(x=>x.name==='sort').schema.enum??[''];
 for(const sort of ['',...sorts]) { const q= sort?`sort=${sort}`:''; await time(`${p}?${q}`);
  for(const f of params) { if(['sort','limit','after'].includes(f.name)) continue; let v;
   const sc=f.schema; const en=sc.enum??sc.items?.enum??(sc.pattern?(sc.pattern.match(/[a-z_]+/g)||null):null); if(!globalThis.shown){globalThis.shown=1;console.log(JSON.stringify(params.filter(x=>x.name==='state'||x.name==='kind')));}
   if(en) { for(const e of en) await time(`${p}?${q}&${f.name}=${e}`); continue; }
   if(f.name==='q') { for(const e of ['0','077-RJ01','zz','07']) await time(`${p}?${q}&q=${e}`); continue; }
   if(sc.format==='date') { for(const e of ['2020-01-01','2026-11-24']) await time(`${p}?${q}&${f.name}=${e}`); continue; }
   if(f.name==='uuid'||f.name==='inspection') v='00000000-0000-7000-8000-000000000000'; else if(sc.type==='integer') v=77; else if(sc.enum) v=sc.enum[0]; else v='yes';
   await time(`${p}?${q}&${f.name}=${v}`); if(f.name=='line') await time(`${p}?${q}&line=77&${params.find(x=>x.name==='state')?'state=overdue':''}`);
  } } }
for (const p of ['due','bonds']) for (const f of ['state=overdue','state=due','state=soon','state=later','state=deferred','state=soon,due','kind=structure','kind=protective_earth','kind=bond_kind_not_known','criticality=safety','criticality=safety&state=overdue','kind=feeder_lead&state=deferred','surveyed=no','surveyed=no&state=overdue','status=removed','until=2026-11-24','line=77&kind=structure','line=77&sort=place','q=077&sort=due','line=77&q=077-RJ','sort=place','sort=place&state=deferred','sort=place&state=overdue','sort=label']) await time('/api/'+p+'?'+f);for (const f of ['mode=burnt','mode=mode_not_stated','open=yes','open=yes&line=77','open=no','from=2026-11-01','sort=place','sort=place&line=77']) await time('/api/failures?'+f); for (const f of ['outcome=partly','outcome=not_reached','purpose=after_works']) await time('/api/inspections?'+f); await time('/api/readings?quantity=rail_drop'); await time('/api/readings?quantity=rail_drop&line=77'); await time('/api/attachments?method=clamp'); await time('/api/attachments?end=b'); for (const f of ['least=8','since=2026-11-01','line=77','sort=newest','sort=place']) await time('/api/repeat-places?'+f); for(const p of ['/api/bonds/770077','/api/bonds/5','/api/lines/77/strip','/api/strip?line=77']) await time(p); rows.sort((a,b)=>b[0]-a[0]); for(const r of rows.filter((r,i)=>i<70||r[2]!=200)) console.log(r[0].toFixed(1).padStart(9),r[2],r[3],r[1]);
console.log(rows.length,'questions'); 
import {readFileSync} from 'node:fs'; console.log(readFileSync(`/proc/${srv.pid}/status`,'utf8').match(/VmHWM.*|VmRSS.*/g).join(' '));
srv.kill(); agent.destroy();
