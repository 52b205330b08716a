//! A browser: it keeps its cookie, says where a form comes from, and numbers its forms.

use std::sync::Mutex;

use axum::Router;
use axum::body::Body;
use axum::http::{HeaderMap, HeaderName, HeaderValue, Method, Request, header};
use standmast::clock::Clock;
use standmast::people::acts::{self, NewSession, Token};
use standmast::people::model::Person;
use standmast::web::AppState;
use standmast::web::permits::SESSION_COOKIE;
use tower::ServiceExt;
use uuid::Uuid;

use crate::support::Answer;

/// Whoever looks at the record.
pub struct Browser {
    router: Router,
    clock: Clock,
    cookie: Mutex<Option<String>>,
}

impl Browser {
    pub(super) fn new(router: Router, clock: Clock) -> Self {
        Self { router, clock, cookie: Mutex::new(None) }
    }

    pub(super) async fn hold_session(&self, app: &AppState, person: &Person) {
        let token = Token::new().unwrap();
        let session = NewSession {
            token: &token,
            device: "computer or tablet",
            instead_of: None,
            rules: app.sessions,
        };
        acts::sign_in(&app.writer, &app.clock, person, &session).await.unwrap();
        *self.cookie.lock().unwrap() = Some(format!("{SESSION_COOKIE}={}", token.text()));
    }

    /// Whether the browser holds a session's cookie.
    pub fn holds_cookie(&self) -> bool {
        self.cookie.lock().unwrap().is_some()
    }

    /// Opens a page.
    pub async fn get(&self, path: &str) -> Answer {
        self.send(Method::GET, path, &[], Vec::new()).await
    }

    /// Sends a form under a number of its own.
    pub async fn post(&self, path: &str, fields: &[(&str, &str)]) -> Answer {
        self.post_as(self.clock.uuid(), path, fields).await
    }

    /// Sends a form under this number: the same one again, or another's.
    pub async fn post_as(&self, act: Uuid, path: &str, fields: &[(&str, &str)]) -> Answer {
        let act = act.to_string();
        let mut all = vec![("act", act.as_str())];
        all.extend_from_slice(fields);
        let body = serde_html_form::to_string(&all).unwrap().into_bytes();
        self.send(Method::POST, path, &[("sec-fetch-site", "same-origin")], body).await
    }

    /// Sends a form with files under this number, as a browser does (RFC 7578). The files' field is `photos`;
    /// names and stated types are what a device may say of them.
    pub async fn post_files(
        &self,
        act: Uuid,
        path: &str,
        fields: &[(&str, &str)],
        files: &[(&str, &[u8])],
    ) -> Answer {
        const BOUNDARY: &str = "between-the-parts-of-a-form";
        let mut body = Vec::new();
        let act = act.to_string();
        for (name, value) in std::iter::once(&("act", act.as_str())).chain(fields) {
            let part = format!(
                "--{BOUNDARY}\r\nContent-Disposition: form-data; name=\"{name}\"\r\n\r\n{value}\r\n"
            );
            body.extend(part.into_bytes());
        }
        for (name, bytes) in files {
            let head = format!(
                "--{BOUNDARY}\r\nContent-Disposition: form-data; name=\"photos\"; filename=\"{name}\"\r\nContent-Type: image/jpeg\r\n\r\n"
            );
            body.extend(head.into_bytes());
            body.extend_from_slice(bytes);
            body.extend(b"\r\n");
        }
        body.extend(format!("--{BOUNDARY}--\r\n").into_bytes());
        let kind = format!("multipart/form-data; boundary={BOUNDARY}");
        let headers = [("sec-fetch-site", "same-origin"), ("content-type", kind.as_str())];
        self.send(Method::POST, path, &headers, body).await
    }

    /// Sends anything. `headers` come beside the cookie, the host and, with a body, the form's type.
    pub async fn send(
        &self,
        method: Method,
        path: &str,
        headers: &[(&str, &str)],
        body: Vec<u8>,
    ) -> Answer {
        let mut request = Request::new(Body::from(body));
        *request.method_mut() = method;
        *request.uri_mut() = path.parse().unwrap();
        let all = request.headers_mut();
        all.insert(header::HOST, HeaderValue::from_static("standmast.test"));
        let form = HeaderValue::from_static("application/x-www-form-urlencoded");
        all.insert(header::CONTENT_TYPE, form);
        if let Some(cookie) = self.cookie.lock().unwrap().as_deref() {
            all.insert(header::COOKIE, cookie.parse().unwrap());
        }
        for (name, value) in headers {
            all.insert(HeaderName::try_from(*name).unwrap(), value.parse().unwrap());
        }
        let response = self.router.clone().oneshot(request).await.unwrap();
        self.keep_cookie(response.headers());
        Answer::read(response).await
    }

    fn keep_cookie(&self, headers: &HeaderMap) {
        for set in headers.get_all(header::SET_COOKIE) {
            let pair = set.to_str().unwrap().split(';').next().unwrap_or_default();
            let kept = !pair.ends_with('=');
            *self.cookie.lock().unwrap() = kept.then(|| pair.to_owned());
        }
    }
}
