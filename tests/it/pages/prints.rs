use crate::support::App;
use crate::support::story::in_mid_build;
use axum::body::Body;
use axum::http::{Request, header};

/// A page as another host name asks for it.
fn from(app: &App, path: &str, host: &str) -> crate::support::Answer {
    app.send(Request::get(path).header(header::HOST, host).body(Body::empty()).unwrap())
}

/// The text of a QR code drawing, read by rqrr at four pixels to a module.
fn read_code(svg_path: &str, side: usize) -> String {
    let mut dark = vec![vec![false; side]; side];
    for run in svg_path.split('M').skip(1) {
        let (start, rest) = run.split_once('h').unwrap();
        let (x, y) = start.split_once(' ').unwrap();
        let (x, y): (usize, usize) = (x.parse().unwrap(), y.parse().unwrap());
        let length: usize = rest.split('v').next().unwrap().parse().unwrap();
        dark[y][x..x + length].fill(true);
    }
    let size = side * 4;
    let mut image = rqrr::PreparedImage::prepare_from_bitmap(size, size, |x, y| dark[y / 4][x / 4]);
    let grids = image.detect_grids();
    assert_eq!(grids.len(), 1);
    grids[0].decode().unwrap().1
}

#[test]
fn the_code_of_a_label_leads_to_the_conversion_at_the_address_asked() {
    let s = in_mid_build();
    let page = from(&s.app, &format!("/c/{}/labels?n=3", s.no), "bench.local:8470").ok();
    assert_eq!(page.all(".labels li").len(), 3);
    let link = format!("http://bench.local:8470/c/{}", s.no);
    page.shows(&link).shows("Centre cab").hides("works on this machine only");
    let svg = page.all(".labels svg.qr")[0];
    let side = svg.attribute("viewbox").or(svg.attribute("viewBox")).unwrap();
    let side: usize = side.split(' ').nth(2).unwrap().parse().unwrap();
    let path = svg.all("path")[0].attribute("d").unwrap();
    assert_eq!(read_code(path, side), link);
    from(&s.app, &format!("/c/{}/labels", s.no), "localhost:8470")
        .ok()
        .shows("works on this machine only");
}

#[test]
fn how_many_labels_stays_within_a_sheet() {
    let s = in_mid_build();
    for (asked, shown) in [("0", 1), ("24", 24), ("9999", 24)] {
        let page = s.app.get(&format!("/c/{}/labels?n={asked}", s.no)).ok();
        assert_eq!(page.all(".labels li").len(), shown);
    }
    assert_eq!(s.app.get(&format!("/c/{}/labels?n=many", s.no)).status, 400);
}

#[test]
fn the_sheet_for_the_box_says_what_is_known_and_what_is_not() {
    let s = in_mid_build();
    let page = s.app.get(&format!("/c/{}/box", s.no)).ok();
    page.shows("Centre cab")
        .shows("Not for digital track: before first power it shows danger.")
        .shows("small decoder")
        .shows("1.00 A")
        .shows("not written down; write it here by hand")
        .shows("buffer beam loose")
        .hides("wiper bent")
        .shows("As it stood on 25 Nov 20:00");
    assert_eq!(page.all("table tbody tr").len(), 5);
    let bare = s.app.open_conversion("Nothing known");
    let page = s.app.get(&format!("/c/{bare}/box")).ok();
    page.shows("not measured").shows("No decoder is chosen.").shows("No open snag.");
}
