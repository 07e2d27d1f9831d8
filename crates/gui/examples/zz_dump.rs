#![allow(warnings, clippy::all)]
use std::sync::Arc;
use dragback_plant::network::*;
fn main(){ for f in std::env::args().skip(1){ let t=std::fs::read_to_string(&f).unwrap(); let (s,_)=dragback_scenario::load(&t); let c=dragback_study::Case::new(Arc::new(s.unwrap()),&Default::default()).unwrap(); let n=c.plant.network();
println!("== {f}"); for (i,v) in n.vessels.iter().enumerate(){println!("v{i} {} full {} foot {} slope {} surf {:?}",v.name,v.full_m3,v.shape.footprint_m2,v.shape.slope_height_m,v.surface.map(|s|s.area_m2));}
for t in &n.transfers{println!("t {} {:?}->{:?} {} dev {:?}",t.name,t.from,t.to,match &t.law{Law::Fixed{flow_m3_per_s}=>format!("fixed {:.1} L/h",flow_m3_per_s*3.6e6),Law::Film{..}=>"film".into(),Law::Overflow{..}=>"over".into(),Law::Matched{..}=>"matched".into()},t.gate.device.map(|d|&n.devices[d.0].name));}
for h in &n.heats{println!("h {} v{} {:?} dev {:?}",h.name,h.vessel.0,h.law,h.gate.device.map(|d|&n.devices[d.0].name));}
for d in &n.devices{println!("d {} {:?} cal {:?} req {}",d.name,d.kind,d.calendar.map(|c|&n.calendars[c.0].name),d.requires.iter().filter(|r|r.is_interlock).count());}
for r in &n.relays{println!("r {} {:?} {:.3} {:.3} {:?} {:?}",r.name,r.signal,r.lower,r.upper,r.acts,r.role);}
for l in &n.loops{println!("loop {} '{}' {:?}",l.name,l.title,l);} } }
