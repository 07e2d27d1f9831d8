#![allow(warnings, clippy::all)]
use std::sync::Arc; use std::io::Write;
use dragback_gui::loop_view::{self, *}; use dragback_gui::loop_view::scene::*; use dragback_gui::theme;
use dragback_units::System;
use egui::*;
fn case(t:&str)->dragback_study::Case{ let (s,p)=dragback_scenario::load(t); if s.is_none(){eprintln!("{p:?}");} dragback_study::Case::new(Arc::new(s.unwrap()),&Default::default()).unwrap() }
fn two(t:&str, keys:&[&str])->String{
 let a=t.find("loops: {").unwrap()+8; let mut depth=1; let mut inq=false; let mut b=a;
 for (i,c) in t[a..].char_indices(){ if c=='"'{inq=!inq;} if !inq{ if c=='{'{depth+=1;} if c=='}'{depth-=1; if depth==0{b=a+i;break;}} } }
 let body=&t[a..b]; let k0=body.find('"').unwrap()+1; let k1=body[k0..].find('"').unwrap()+k0;
 let mut out=t[..a].to_string(); for k in keys{ let mut s=body.to_string(); s.replace_range(k0..k1,k); out+=&s; if !s.trim_end().ends_with(','){out+=",";} }
 // drop events
 let mut rest=t[b..].to_string(); if let Some(e)=rest.find("events:"){ rest=format!("{})",&rest[..e]); } out+=&rest; out }
struct Tex{w:usize,h:usize,p:Vec<Color32>}
fn apply(t:&mut Tex,out:&FullOutput){ for (_,ds) in &out.textures_delta.set{ for d in ds.iter(){ let ImageData::Color(im)=&d.image; let [w,h]=im.size; match d.pos{None=>{*t=Tex{w,h,p:im.pixels.clone()}} Some([x,y])=>{for r in 0..h{for c in 0..w{t.p[(y+r)*t.w+x+c]=im.pixels[r*w+c];}}}} } } }
fn raster(prims:&[ClippedPrimitive],t:&Tex,w:usize,h:usize,ppp:f32)->Vec<u8>{
 let mut px=vec![[0f32;3];w*h];
 for cp in prims{ let c=cp.clip_rect; let epaint::Primitive::Mesh(m)=&cp.primitive else{continue};
  let (cx0,cy0,cx1,cy1)=((c.min.x*ppp).round().max(0.) as i32,(c.min.y*ppp).round().max(0.) as i32,((c.max.x*ppp).round() as i32).min(w as i32),((c.max.y*ppp).round() as i32).min(h as i32));
  for tri in m.indices.chunks(3){ let v:[_;3]=[0,1,2].map(|i|m.vertices[tri[i] as usize]); let p=v.map(|v|(v.pos.x*ppp,v.pos.y*ppp));
   let area=(p[1].0-p[0].0)*(p[2].1-p[0].1)-(p[1].1-p[0].1)*(p[2].0-p[0].0); if area.abs()<1e-9{continue;}
   let x0=(p.iter().map(|q|q.0).fold(f32::MAX,f32::min).floor() as i32).max(cx0); let x1=(p.iter().map(|q|q.0).fold(f32::MIN,f32::max).ceil() as i32).min(cx1);
   let y0=(p.iter().map(|q|q.1).fold(f32::MAX,f32::min).floor() as i32).max(cy0); let y1=(p.iter().map(|q|q.1).fold(f32::MIN,f32::max).ceil() as i32).min(cy1);
   for y in y0..y1{ for x in x0..x1{ let (fx,fy)=(x as f32+0.5,y as f32+0.5);
    let e=|a:(f32,f32),b:(f32,f32)|((b.0-a.0)*(fy-a.1)-(b.1-a.1)*(fx-a.0))/area; let (l0,l1,l2)=(e(p[1],p[2]),e(p[2],p[0]),e(p[0],p[1]));
    let inside=|l:f32,a:(f32,f32),b:(f32,f32)| l>0.0 || (l==0.0 && {let (dx,dy)=if area>0.0{(b.0-a.0,b.1-a.1)}else{(a.0-b.0,a.1-b.1)}; dy<0.0||(dy==0.0&&dx>0.0)});
    if !(inside(l0,p[1],p[2])&&inside(l1,p[2],p[0])&&inside(l2,p[0],p[1])){continue;}
    let mix=|f:&dyn Fn(usize)->f32| l0*f(0)+l1*f(1)+l2*f(2);
    let (u,vv)=(mix(&|i|v[i].uv.x)*t.w as f32-0.5,mix(&|i|v[i].uv.y)*t.h as f32-0.5);
    let (iu,iv)=(u.floor(),vv.floor()); let (du,dv)=(u-iu,vv-iv);
    let tx=|a:f32,b:f32|{let q=t.p[(b.clamp(0.,t.h as f32-1.) as usize)*t.w+a.clamp(0.,t.w as f32-1.) as usize];[q.r() as f32,q.g() as f32,q.b() as f32,q.a() as f32]};
    let (a,b,c2,d)=(tx(iu,iv),tx(iu+1.,iv),tx(iu,iv+1.),tx(iu+1.,iv+1.));
    let mut s=[0f32;4]; for k in 0..4{ let tv=(a[k]*(1.-du)+b[k]*du)*(1.-dv)+(c2[k]*(1.-du)+d[k]*du)*dv; let vc=mix(&|i|v[i].color.to_array()[k] as f32); s[k]=tv*vc/255.; }
    let o=&mut px[(y as usize)*w+x as usize]; for k in 0..3{ o[k]=s[k]+o[k]*(1.-s[3]/255.); } }} } }
 px.iter().flat_map(|p|p.map(|c|c.round().clamp(0.,255.) as u8)).collect() }
fn pic(scene:&Scene,name:&str,size:(f32,f32),ppp:f32,dark:bool,sys:System,sel:Selection,play:bool){
 let ctx=Context::default(); theme::install(&ctx); ctx.set_theme(if dark{Theme::Dark}else{Theme::Light});
 let mut t=Tex{w:0,h:0,p:vec![]}; let mut last:Option<FullOutput>=None; let mut sel=sel;
 for _ in 0..3{ let mut inp=RawInput{screen_rect:Some(Rect::from_min_size(Pos2::ZERO,vec2(size.0,size.1))),..Default::default()}; inp.viewports.get_mut(&ViewportId::ROOT).unwrap().native_pixels_per_point=Some(ppp);
  let out=ctx.run_ui(inp,|ui|{ let r=ui.max_rect(); ui.painter().rect_filled(r,0.0,theme::Palette::of(ui.theme()).ground); loop_view::show(ui,scene,&mut sel,View{system:sys,is_playing:play,phase:0.3}); });
  apply(&mut t,&out); if let Some(o)=last.replace(out){ FullOutput::drop_without_applying_deltas(o); } }
 let out=last.unwrap(); let pp=out.pixels_per_point; let prims=ctx.tessellate(out.shapes.clone(),pp); let (w,h)=((size.0*pp) as usize,(size.1*pp) as usize);
 let b=raster(&prims,&t,w,h,pp); let mut f=std::fs::File::create(format!("/tmp/loop-pics/{name}.ppm")).unwrap(); write!(f,"P6 {w} {h} 255\n"); f.write_all(&b); out.drop_without_applying_deltas();
 let n=labels_drawn(&ctx).len(); println!("{name} labels {n}"); }
fn main(){ std::fs::create_dir_all("/tmp/loop-pics").unwrap(); let want=std::env::args().nth(1).unwrap_or_default();
 let rd=|n:&str|std::fs::read_to_string(format!("scenarios/{n}.ron")).unwrap();
 let mut list:Vec<(String,String)>=["demo","chromium","zinc-barrel","warm-bath","demo-before","teaching"].iter().map(|n|(n.to_string(),rd(n))).collect();
 list.push(("two-baths".into(),two(&rd("demo"),&["north","south"])));
 for (n,t) in list{ if !want.is_empty()&&!n.contains(&want)&&want!="all"{continue;} let c=case(&t);
  let s=dragback_study::settled_answers(&c,dragback_study::AirChoice::Mean,dragback_study::Hours::Calendar,dragback_study::Depth::Quick,&mut |_|true).unwrap();
  let clock=dragback_study::Clock{hours:dragback_study::Hours::WeekMean,air:dragback_study::AirChoice::Mean};
  let around=Circumstances::at(&c.plant,clock,s.week.times_s()[0],s.week.row(0),&[]); let m=Moment::mean_of(&c.plant,&s.week,around); let sc=loop_view::scene(&c.plant,&m);
  let none=Selection::None; let wide=std::env::args().nth(2).is_some();
  pic(&sc,&format!("{n}-light-1280x720"),(1280.,720.),1.,false,System::Metric,none,false);
  pic(&sc,&format!("{n}-dark-1280x360"),(1280.,360.),1.,true,System::Metric,sc.streams.first().map_or(none,|s|Selection::Stream(s.id)),true);
  if wide{ pic(&sc,&format!("{n}-dark-1920x1080"),(1920.,1080.),1.,true,System::Us,none,true);
  pic(&sc,&format!("{n}-light-1920x1080"),(1920.,1080.),1.,false,System::Us,Selection::Station(sc.stations[0].id),true);
  pic(&sc,&format!("{n}-light-600x300"),(600.,300.),1.,false,System::Metric,none,false); 
  pic(&sc,&format!("{n}-dark-1280x720"),(1280.,720.),1.,true,System::Metric,none,false);}
 } }
