import { spawn } from 'node:child_process';
import http from 'node:http'; import {readFileSync,statSync} from 'node:fs';
const [program, data, mode = 'short'] = process.argv.slice(2);
const srv = spawn(program, ['serve','--data',data,'--listen','127.0.0.1:0'], {stdio:['ignore','pipe','inherit']});
const port = await new Promise(r => srv.stdout.on('data', d => r(Number(/:(\d+)\//.exec(d)[1]))));
const agent = new http.Agent({keepAlive:true}); let cookie='';
function ask(path, method='GET', body) { return new Promise((ok, no) => { const s=process.hrtime.bigint(); const q=http.request({agent,host:'127.0.0.1',port,path,method,headers:{cookie, ...(body?{'content-type':'application/json'}:{})}}, r => { const c=[]; r.on('data',d=>c.push(d)); r.on('end',()=>ok({status:r.statusCode,headers:r.headers,body:Buffer.concat(c).toString(),ms:Number(process.hrtime.bigint()-s)/1e6})); }); q.on('error',no); q.end(body); }); }
const cpu=()=>{const f=readFileSync(`/proc/${srv.pid}/stat`,'utf8').split(') ')[1].split(' ');globalThis.split=[Number(f[11])/100,Number(f[12])/100];return (Number(f[11])+Number(f[12]))/100};
const s = await ask('/api/session','POST',JSON.stringify({login:'bench',password:'bench bench bench'})); cookie=s.headers['set-cookie'][0].split(';')[0];
const now=JSON.parse((await ask('/api/rulebook')).body); console.log(now.version,now.followed);
const b=now.rulebook; const plus = mode=='short'?-1:1; for(const k of Object.keys(b.interval_months)) for(const c of Object.keys(b.interval_months[k])) b.interval_months[k][c]+= plus; b.from_day=new Date().toISOString().slice(0,10);
if(mode==='notice'){ for(const k of Object.keys(b.interval_months)) for(const c of Object.keys(b.interval_months[k])) b.interval_months[k][c]-= plus; b.notice_days^=1; }
const c0=cpu(),t0=Date.now(); const p=await ask('/api/rulebooks','POST',JSON.stringify({rulebook:b,reason:'bench'})); console.log(p.status,p.body);
let worst=0,n=0,lat=[]; for(;;){ const r=await ask('/api/rulebook'); const l=await ask(`/api/due?line=${1+n%400}`); lat.push(l.ms); n++; if(JSON.parse(r.body).followed) break; await new Promise(r=>setTimeout(r,20)); }
lat.sort((a,b)=>a-b);
console.log('followed after',(Date.now()-t0)/1000,'s; cpu',(cpu()-c0).toFixed(2),'s (user, sys '+split+'); reads',n,'median',lat[n>>1].toFixed(2),'p99',lat[Math.floor(n*.99)].toFixed(2),'max',lat[n-1].toFixed(2));
const t=await ask('/api/due?limit=1'); console.log(JSON.parse(t.body).totals, t.ms);
console.log(readFileSync(`/proc/${srv.pid}/status`,'utf8').match(/VmHWM.*|VmRSS.*/g).join(' '), 'wal', statSync(data+'/register.db-wal').size);
srv.kill(); agent.destroy();
