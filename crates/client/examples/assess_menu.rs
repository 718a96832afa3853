//! Assesses a small menu with a running service and prints what the pass would read.
//!
//! Start the service with `tamis serve`, then:
//! `cargo run -p tamis-client --example assess_menu -- grpc://127.0.0.1:50051`

use futures_util::{StreamExt, stream};
use tamis_client::scoring::quantity::Portions;
use tamis_client::{Card, Client, TicketKind, TicketLayout};

#[tokio::main(flavor = "current_thread")]
async fn main() -> Result<(), Box<dyn std::error::Error>> {
    let endpoint = std::env::args()
        .nth(1)
        .unwrap_or_else(|| "grpc://127.0.0.1:50051".to_owned());
    let client = Client::builder(endpoint).build()?;

    let four = Portions::new(4.0)?;
    let menu = vec![
        Card::new("Rice bowl")
            .portions(four)
            .lines([
                "300 g rice",
                "2 cloves garlic",
                "400 g firm tofu",
                "4 tbsp soy sauce",
            ])
            .into_dish(),
        Card::new("Carrot and ginger soup")
            .portions(four)
            .lines(["800 g carrots", "20 g ginger", "1 onion", "1 l water"])
            .into_dish(),
        Card::new("Gin and tonic")
            .lines(["50 ml gin", "150 ml tonic water"])
            .into_drink(),
    ];

    let mut answers = client.assess_many(stream::iter(menu.clone())).boxed();
    while let Some(outcome) = answers.next().await {
        match outcome {
            Ok(answer) => {
                println!("{:<28} {}", answer.name, answer.ruling);
                for amendment in &answer.amendments {
                    println!("    {} ({})", amendment.text, amendment.when);
                }
                for line in &answer.unresolved {
                    println!("    not understood: {}", line.line.text);
                }
            }
            Err(error) => println!("no answer: {error}"),
        }
    }

    let layout = TicketLayout {
        kind: TicketKind::Kitchen,
        columns: Some(42),
    };
    println!("\n{}", client.render_ticket(&menu[0], layout).await?.text);
    Ok(())
}
