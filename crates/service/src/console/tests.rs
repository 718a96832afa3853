//! The pages through their router, with a store in memory.

use std::sync::Arc;

use axum::Router;
use axum::body::Body;
use axum::http::header::{
    CACHE_CONTROL, CONTENT_SECURITY_POLICY, CONTENT_TYPE, HeaderMap, X_CONTENT_TYPE_OPTIONS,
};
use axum::http::{Request, StatusCode};
use http_body_util::BodyExt;
use tamis_app::App;
use tamis_app::limits;
use tamis_app::ports::{BoxFuture, MenuStore, StoreError, StoredMenu};
use tamis_catalogue::Catalogue;
use tamis_scoring::subgroup::Subgroup;
use tower::ServiceExt;

use super::{MAX_CARDS, router};
use crate::call::Doors;
use crate::store::SqliteStore;

const EVIL: &str = "<script>alert(1)</script> & \"soup\"";
const ESCAPED: &str = "&#60;script&#62;alert(1)&#60;/script&#62; &#38; &#34;soup&#34;";
/// The reader of cards takes whole tags out of a name; this one is none and stays.
const EVIL_DISH: &str = "Soup <script src=x & \"deep\"";
const ESCAPED_DISH: &str = "Soup &#60;script src=x &#38; &#34;deep&#34;";
/// A line that no catalogue understands: every load of its dish is unknown.
const MOON: &str = "Moon plate\nserves 1\n\n100 g moon dust zzqx\n";
const RICE: &str = "Rice bowl\nserves 4\n\n300 g rice\n2 cloves garlic\n";

struct Answered {
    status: StatusCode,
    headers: HeaderMap,
    text: String,
}

async fn stored(cards: &[(&str, String)]) -> (Router, Arc<SqliteStore>) {
    let store = SqliteStore::in_memory().await.unwrap();
    for (id, cards) in cards {
        let menu = StoredMenu {
            id: (*id).to_owned(),
            name: format!("Menu {id} {EVIL}"),
            site: "Alder Bay".to_owned(),
            cards: cards.clone(),
        };
        store.save(&menu).await.unwrap();
    }
    let doors = Doors::new(App::new(Catalogue::embedded().unwrap()));
    let store = Arc::new(store);
    (router(doors, store.clone()), store)
}

async fn week() -> Router {
    let evil = format!("{EVIL_DISH}\nserves 2\n\n200 g rice\n");
    let cards = format!("{RICE}===\n{MOON}===\n{evil}");
    stored(&[("week", cards)]).await.0
}

async fn send(router: &Router, request: Request<Body>) -> Answered {
    let response = router.clone().oneshot(request).await.unwrap();
    let (parts, body) = response.into_parts();
    let body = body.collect().await.unwrap().to_bytes().to_vec();
    Answered {
        status: parts.status,
        headers: parts.headers,
        text: String::from_utf8(body).unwrap(),
    }
}

async fn ask(router: &Router, path: &str) -> Answered {
    send(router, Request::get(path).body(Body::empty()).unwrap()).await
}

async fn fill(router: &Router, fields: &[(&str, &str)]) -> Answered {
    let body: Vec<String> = fields
        .iter()
        .map(|(name, text)| {
            let text: String = text.bytes().map(|b| format!("%{b:02X}")).collect();
            format!("{name}={text}")
        })
        .collect();
    let request = Request::post("/assess")
        .header(CONTENT_TYPE, "application/x-www-form-urlencoded")
        .body(Body::from(body.join("&")))
        .unwrap();
    send(router, request).await
}

/// The text between two marks, for all places that have them.
fn between<'a>(text: &'a str, start: &str, end: &str) -> Vec<&'a str> {
    text.split(start)
        .skip(1)
        .filter_map(|rest| rest.split_once(end).map(|(inside, _)| inside))
        .collect()
}

#[tokio::test]
async fn every_answer_forbids_scripts_and_storage() {
    let router = week().await;
    for (path, status, media) in [
        ("/", 200, "text/html"),
        ("/?phase=strict", 400, "text/html"),
        ("/dishes/week/1", 200, "text/html"),
        ("/dishes/week/9", 404, "text/html"),
        ("/dishes/week/0", 404, "text/html"),
        ("/dishes/week/one", 404, "text/html"),
        ("/dishes/none/1", 404, "text/html"),
        ("/assess", 200, "text/html"),
        ("/console.css", 200, "text/css"),
    ] {
        let answered = ask(&router, path).await;
        assert_eq!(answered.status.as_u16(), status, "{path}");
        let header = |name| answered.headers[name].to_str().unwrap();
        assert!(header(CONTENT_TYPE.as_str()).starts_with(media), "{path}");
        let policy = header(CONTENT_SECURITY_POLICY.as_str());
        assert!(policy.starts_with("default-src 'none'; style-src 'self'; form-action 'self'"));
        assert_eq!(header(X_CONTENT_TYPE_OPTIONS.as_str()), "nosniff", "{path}");
        assert_eq!(header(CACHE_CONTROL.as_str()), "no-store", "{path}");
        for forbidden in ["<script", "style=", "http://", "https://", "<img"] {
            assert!(!answered.text.contains(forbidden), "{path}: {forbidden}");
        }
    }
}

#[tokio::test]
async fn a_name_with_markup_is_shown_as_written() {
    let router = week().await;
    for path in ["/", "/dishes/week/3"] {
        let page = ask(&router, path).await.text;
        assert!(page.contains(ESCAPED), "{path}: the name of the menu");
        assert!(page.contains(ESCAPED_DISH), "{path}: the name of the dish");
        assert!(!page.contains("<script"), "{path}");
    }
    let card = format!("{EVIL_DISH}\nserves 2\n\n200 g rice\n\n{EVIL} </textarea><b>boil</b>\n");
    for fields in [
        vec![("card", card.as_str())],
        vec![("card", card.as_str()), ("phase", "<i>")],
    ] {
        let page = fill(&router, &fields).await.text;
        assert!(page.contains(ESCAPED) && page.contains(ESCAPED_DISH));
        for markup in ["<script", "</textarea><b>", "<b>", "<i>"] {
            assert!(!page.contains(markup), "{markup}");
        }
    }
}

#[tokio::test]
async fn every_subgroup_has_its_row_in_table_and_plots() {
    let router = week().await;
    for index in 1..=3 {
        let page = ask(&router, &format!("/dishes/week/{index}")).await.text;
        for subgroup in Subgroup::ALL {
            let name = subgroup.plain_words();
            let row = format!("<th role=\"rowheader\" scope=\"row\">{name}</th>");
            assert_eq!(page.matches(&row).count(), 1, "{index}: {name}");
            let plotted = format!("<g data-subgroup=\"{name}\">");
            assert_eq!(page.matches(&plotted).count(), 2, "{index}: {name}");
        }
    }
}

#[tokio::test]
async fn an_unknown_load_is_never_a_number() {
    let router = week().await;
    let sheet = ask(&router, "/").await.text;
    let row = between(&sheet, "Moon plate</a>", "</tr>");
    assert_eq!(row.len(), 1);
    assert!(row[0].contains("<strong>refer</strong>"), "{}", row[0]);
    assert!(
        row[0].contains("data-label=\"Load\">unknown<"),
        "{}",
        row[0]
    );
    assert!(
        row[0].contains("data-label=\"Headroom\">unknown<"),
        "{}",
        row[0]
    );

    let page = ask(&router, "/dishes/week/2").await.text;
    let means = between(&page, "data-label=\"Mean\">", "<");
    assert_eq!(means, vec!["unknown"; Subgroup::COUNT]);
    assert!(between(&page, "class=\"mean\"", ">").is_empty());
    for row in between(&page, "<g data-subgroup=", "</g>") {
        assert!(row.contains(">unknown</text>"), "{row}");
        assert!(row.contains("class=\"ink\""), "{row}");
    }
}

#[tokio::test]
async fn the_sheet_says_what_the_app_says() {
    let router = week().await;
    let app = App::new(Catalogue::embedded().unwrap());
    let requests = tamis_app::requests_from_text(
        RICE,
        tamis_app::CardFormat::PlainText,
        &tamis_scoring::diner::Diner::restriction(),
        &tamis_scoring::diner::Policy::default(),
    )
    .unwrap();
    let rice = app.assess(&requests[0]).unwrap();
    let headroom = tamis_tickets::figures::headroom(rice.headroom.unwrap().ratio);
    let sheet = ask(&router, "/").await.text;
    let row = between(&sheet, "Rice bowl</a>", "</tr>")[0];
    assert!(
        row.contains(&format!("<strong>{}</strong>", rice.ruling)),
        "{row}"
    );
    assert!(
        row.contains(&format!("data-label=\"Headroom\">{headroom}<")),
        "{row}"
    );
}

#[tokio::test]
async fn choices_reach_the_answer_and_the_links() {
    let router = week().await;
    let query = "phase=reintroduction&challenge=fructans&confidence=upper_95";
    let sheet = ask(&router, &format!("/?{query}")).await;
    assert_eq!(sheet.status, StatusCode::OK);
    let link = format!("/dishes/week/1?{}", query.replace('&', "&#38;"));
    assert!(sheet.text.contains(&link), "{}", sheet.text);
    assert!(sheet.text.contains("value=\"upper_95\" selected"));
    let page = ask(&router, &format!("/dishes/week/1?{query}")).await.text;
    assert!(page.contains("fructans under challenge"));
    assert!(page.contains("not limited"));

    let refused = ask(&router, "/?challenge=lactose").await;
    assert_eq!(refused.status, StatusCode::BAD_REQUEST);
    assert!(refused.text.contains("belongs to the reintroduction phase"));
}

#[tokio::test]
async fn a_card_of_the_form_is_answered_and_not_stored() {
    let (router, store) = stored(&[]).await;
    let answered = fill(&router, &[("card", RICE), ("phase", "restriction")]).await;
    assert_eq!(answered.status, StatusCode::OK);
    assert!(answered.text.contains("id=\"dish-1-name\">Rice bowl</h2>"));
    assert!(answered.text.contains("2 cloves garlic"));
    assert!(store.menus().await.unwrap().is_empty());
    assert!(ask(&router, "/").await.text.contains("No menu is stored"));
}

#[tokio::test]
async fn a_fault_of_a_card_has_line_and_column_and_the_text_stays() {
    let router = stored(&[]).await.0;
    let card = "Rice bowl\nserves none\n\n300 g rice\n";
    let answered = fill(&router, &[("card", card), ("confidence", "upper_95")]).await;
    assert_eq!(answered.status, StatusCode::BAD_REQUEST);
    let said = between(&answered.text, "role=\"alert\">", "</div>")[0];
    assert!(said.contains("line 2, column"), "{said}");
    let kept = between(&answered.text, "<textarea", "</textarea>")[0];
    assert!(kept.ends_with(card), "{kept}");
    assert!(answered.text.contains("value=\"upper_95\" selected"));
}

#[tokio::test]
async fn what_is_too_much_or_no_form_is_refused_on_a_page() {
    let router = stored(&[]).await.0;
    let many = vec![RICE; MAX_CARDS + 1].join("===\n");
    let answered = fill(&router, &[("card", &many)]).await;
    assert_eq!(answered.status, StatusCode::BAD_REQUEST);
    assert!(answered.text.contains("this form takes"));

    let large = "x".repeat(limits::MAX_BODY_BYTES);
    let answered = fill(&router, &[("card", &large)]).await;
    assert_eq!(answered.status, StatusCode::PAYLOAD_TOO_LARGE);
    for (media, status) in [
        ("application/json", StatusCode::UNSUPPORTED_MEDIA_TYPE),
        ("application/x-www-form-urlencoded", StatusCode::BAD_REQUEST),
    ] {
        let request = Request::post("/assess")
            .header(CONTENT_TYPE, media)
            .body(Body::from("kard=soup"))
            .unwrap();
        let answered = send(&router, request).await;
        assert_eq!(answered.status, status, "{media}");
        assert!(answered.text.contains("<h1>No answer</h1>"), "{media}");
    }
}

#[tokio::test]
async fn a_menu_that_cannot_be_read_leaves_the_others() {
    let broken = "Soup\nserves none\n\n1 l water\n".to_owned();
    let router = stored(&[("a", broken), ("b", RICE.to_owned())]).await.0;
    let page = ask(&router, "/").await;
    assert_eq!(page.status, StatusCode::OK);
    assert!(page.text.contains("line 2, column"), "{}", page.text);
    assert!(page.text.contains("/dishes/b/1"));
}

struct NoStore;

impl MenuStore for NoStore {
    fn save<'a>(&'a self, _: &'a StoredMenu) -> BoxFuture<'a, Result<(), StoreError>> {
        Box::pin(async { Ok(()) })
    }

    fn menus(&self) -> BoxFuture<'_, Result<Vec<StoredMenu>, StoreError>> {
        Box::pin(async {
            Err(StoreError::Unavailable {
                doing: "reading the menus",
                source: "secret words of a driver".into(),
            })
        })
    }
}

#[tokio::test]
async fn a_store_that_fails_is_a_page_that_tells_nothing_of_it() {
    let doors = Doors::new(App::new(Catalogue::embedded().unwrap()));
    let answered = ask(&router(doors, Arc::new(NoStore)), "/").await;
    assert_eq!(answered.status, StatusCode::INTERNAL_SERVER_ERROR);
    assert!(answered.text.contains("request id"));
    assert!(!answered.text.contains("secret"));
}

#[tokio::test]
async fn the_console_and_rest_share_one_port() {
    let store = SqliteStore::in_memory().await.unwrap();
    let doors = Doors::new(App::new(Catalogue::embedded().unwrap()));
    let router = crate::rest::router(doors.clone()).merge(router(doors, Arc::new(store)));
    assert_eq!(ask(&router, "/healthz").await.text, "alive\n");
    let json = ask(&router, "/nothing").await;
    assert_eq!(json.headers[CONTENT_TYPE], "application/problem+json");
    let page = ask(&router, "/assess").await;
    assert!(page.text.contains("<textarea"));
}

/// Headings go one level down at a time, each id stands once, each label has its field.
#[tokio::test]
async fn pages_are_in_order_for_a_screen_reader() {
    let router = week().await;
    let two = format!("{RICE}===\n{MOON}");
    let pages = [
        ask(&router, "/").await.text,
        ask(&router, "/dishes/week/1").await.text,
        ask(&router, "/dishes/week/2").await.text,
        fill(&router, &[("card", &two)]).await.text,
        fill(&router, &[("card", "")]).await.text,
    ];
    for page in pages {
        let levels: Vec<u8> = between(&page, "<h", ">")
            .iter()
            .filter_map(|tag| tag.as_bytes().first().filter(|b| b.is_ascii_digit()))
            .map(|digit| digit - b'0')
            .collect();
        assert_eq!(levels.iter().filter(|&&l| l == 1).count(), 1, "{levels:?}");
        assert_eq!(levels[0], 1, "{levels:?}");
        assert!(levels.windows(2).all(|w| w[1] <= w[0] + 1), "{levels:?}");
        let ids = between(&page, " id=\"", "\"");
        let unique: std::collections::HashSet<_> = ids.iter().collect();
        assert_eq!(unique.len(), ids.len(), "{ids:?}");
        for attribute in [
            " for=\"",
            "aria-labelledby=\"",
            "aria-describedby=\"",
            "href=\"#",
        ] {
            for target in between(&page, attribute, "\"") {
                assert!(ids.contains(&target), "{attribute}{target}");
            }
        }
    }
}
